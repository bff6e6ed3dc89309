import type { JsonObject, JsonValue } from './jsonRecord.ts'

const isObject = (value: JsonValue | undefined): value is JsonObject =>
  typeof value === 'object' && value !== null && !Array.isArray(value)

const isListOfObjects = (value: JsonValue): boolean => Array.isArray(value) && value.some(isObject)

/**
 * The entries of the lists that lie at a path within an object, each with everything around it, so that its headings are
 * `days.date`, `days.sessions.target`. An object that has no such list is one entry; an empty list has none. Other lists
 * of objects around it are passed over: they would be said again with every entry.
 */
export function* innerEntries(object: JsonObject, path: readonly string[]): Generator<JsonObject> {
  const [key, ...rest] = path
  const inner = key === undefined ? undefined : object[key]
  if (key === undefined || inner === undefined || inner === null) {
    yield object
    return
  }
  const around = Object.fromEntries(Object.entries(object).filter(([, value]) => !isListOfObjects(value)))
  for (const item of Array.isArray(inner) ? (inner as readonly JsonValue[]) : [inner]) {
    if (!isObject(item)) yield { ...around, [key]: item }
    else for (const entry of innerEntries(item, rest)) yield { ...around, [key]: entry }
  }
}
