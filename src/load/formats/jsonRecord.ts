import { countWrittenKeys, isTooDeep, withQuotedNumbers } from './jsonTokens.ts'
import { MAX_JSON_DEPTH } from './limits.ts'
import { decodeText } from './text.ts'

export type JsonValue =
  | null
  | boolean
  | number
  | string
  | readonly JsonValue[]
  | { readonly [key: string]: JsonValue }
export type JsonObject = { readonly [key: string]: JsonValue }

/** A number that a double may not hold as written: 16 digits or more, or a power of ten. */
const RISKY_NUMBER = /\d{16}|\d[eE][+-]?\d|\.\d{16}/
/** A text longer than this is looked at for its depth before it is parsed. */
const LONG_TEXT = 65_536

/**
 * An object from JSON text, or null when it is not whole JSON, no object, or has a key twice. Long numbers come back as their text, so
 * that an identifier of 20 digits keeps them all.
 */
export function parseObject(text: string): JsonObject | null {
  if (text.length > LONG_TEXT && isTooDeep(text)) return null
  try {
    const value = JSON.parse(text) as JsonValue
    if (value === null || typeof value !== 'object' || Array.isArray(value)) return null
    if (JSON.stringify(value) !== text && repeatsKey(text, value)) return null
    if (!RISKY_NUMBER.test(text)) return value as JsonObject
    return JSON.parse(withQuotedNumbers(text)) as JsonObject
  } catch {
    return null
  }
}

/** Whether an object gives one key twice, of which the parser would keep the last without a word. */
const repeatsKey = (text: string, value: JsonValue): boolean => countWrittenKeys(text) !== countKeys(value)

function countKeys(value: JsonValue): number {
  let keys = 0
  const left: JsonValue[] = [value]
  for (let next = left.pop(); next !== undefined; next = left.pop()) {
    if (next === null || typeof next !== 'object') continue
    const inner = Object.values(next) as JsonValue[]
    if (!Array.isArray(next)) keys += inner.length
    for (const item of inner) left.push(item)
  }
  return keys
}

/** {@link parseObject} of bytes; `utf8` is false where they are not UTF-8 and were read as Windows-1252. */
export function parseObjectBytes(bytes: Uint8Array): {
  readonly object: JsonObject | null
  readonly text: string
  readonly utf8: boolean
} {
  const { text, utf8 } = decodeText(bytes)
  const plain = text.charCodeAt(0) === 0xfeff ? text.slice(1) : text
  return { object: parseObject(plain), text: plain, utf8 }
}

/**
 * The texts of a nested object under dotted paths (`client.code`; `sets.0.reps` for objects in a list). A list of plain
 * values is one text, joined by `; `. Null gives nothing.
 *
 * @param put told each path and text; false means there is no room for it
 * @returns false when something had no room, or the object is nested deeper than {@link MAX_JSON_DEPTH}
 */
export function flatten(
  value: JsonValue,
  path: string,
  put: (path: string, text: string) => boolean,
  depth = 0,
): boolean {
  if (value === null) return path === '' || put(path, '')
  if (typeof value !== 'object') return put(path, String(value))
  if (depth > MAX_JSON_DEPTH) return false
  if (Array.isArray(value) && !value.some((item) => item !== null && typeof item === 'object'))
    return put(path, value.filter((item) => item !== null).join('; '))
  for (const [key, inner] of Object.entries(value))
    if (!flatten(inner as JsonValue, path === '' ? key : `${path}.${key}`, put, depth + 1)) return false
  return true
}
