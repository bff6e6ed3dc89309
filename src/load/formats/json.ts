import type { RawTable } from '../raw.ts'
import { isFhirResource } from './fhir.ts'
import { type JsonEntry, JsonEntryScanner } from './jsonEntries.ts'
import { flatten, type JsonObject, type JsonValue, parseObject, parseObjectBytes } from './jsonRecord.ts'
import { gridOf, headingsOf, parseRow, recordOfRow } from './jsonRows.ts'
import { type JsonOptions, JsonTables } from './jsonTables.ts'
import { allBytes, type Source } from './source.ts'
import { utf8Chunks } from './text.ts'

/**
 * Reads a JSON file. A record is an entry of its list: the file may be one list, or an object with one or more lists of
 * objects in it (each list a table, named `file#key` where there are several); plain values around a list hold for all
 * its entries. A list of lists is a table whose first row are its headings, and {@link gridOf} tells of tables without keys.
 * An object without any of these is one record. A FHIR Bundle gives clients and assessments.
 *
 * The file is cut into entries as it comes, so that one that is damaged, or cut short, loses only what is broken: an entry
 * that is not whole JSON, no object, or past a limit is a ragged record.
 */
export async function readJson(source: Source, options: JsonOptions = {}): Promise<RawTable[]> {
  const lists = new Map<string, JsonTables>()
  let unfinished = false
  /** The headings of a list of lists; undefined until its first entry is seen, null where it is a list of objects. */
  let headings: readonly string[] | null | undefined
  const take = ({ path, bytes, whole, line }: JsonEntry): void => {
    const key = path.join('.')
    let tables = lists.get(key)
    if (tables === undefined) {
      tables = new JsonTables(source.file, within(options, path))
      lists.set(key, tables)
    }
    const { object, text, utf8 } = parseObjectBytes(whole ? bytes : bytes.subarray(0, 1000))
    if (headings === undefined) {
      const first = whole && path.length === 0 && object === null ? parseRow(text) : null
      headings = first === null ? null : headingsOf(first)
      if (headings !== null) return
    }
    if (headings === null) tables.add(whole ? object : null, text.trimEnd(), line)
    else addRow(tables, headings, whole ? parseRow(text) : null, text.trimEnd(), line)
    if (!utf8) tables.noteNotUtf8()
    unfinished = !whole
  }
  const scanner = new JsonEntryScanner(take)
  for await (const chunk of utf8Chunks(source.chunks())) scanner.push(chunk)
  const frame = scanner.end().replace(/^\ufeff/, '')
  const around = scanner.frameTooLarge ? null : parseObject(frame)
  if (around !== null && isLoneResource(around)) return readOneObject(source, options)
  return finish(source.file, lists, scanner.frameTooLarge ? null : frame, unfinished, options)
}

/** Adds a row of a table without keys; one that is blank is no record. */
function addRow(
  tables: JsonTables,
  headings: readonly string[],
  row: readonly JsonValue[] | null,
  text: string,
  line: number,
): void {
  const record = row === null ? null : recordOfRow(headings, row)
  if (record !== undefined) tables.add(record, text, line)
}

/** The options for the entries of a list: where the records lie within each of them. */
function within(options: JsonOptions, list: readonly string[]): JsonOptions {
  const { entries, ...others } = options
  if (entries === undefined || !list.every((key, k) => entries[k] === key)) return others
  const inner = entries.slice(list.length)
  return inner.length === 0 ? others : { ...others, entries: inner }
}

/** A FHIR resource by itself, the lists of which are its own. */
const isLoneResource = (around: JsonObject): boolean =>
  isFhirResource(around) && around.resourceType !== 'Bundle'

async function readOneObject(source: Source, options: JsonOptions): Promise<RawTable[]> {
  const { object, text } = parseObjectBytes(await allBytes(source))
  const single = new JsonTables(source.file, options)
  single.add(object, text, 1)
  return single.finish()
}

function finish(
  file: string,
  lists: Map<string, JsonTables>,
  frame: string | null,
  unfinished: boolean,
  options: JsonOptions,
): RawTable[] {
  const around = frame === null ? null : parseObject(frame)
  if (lists.size === 0) {
    const single = new JsonTables(file, options)
    const grid = around === null || isFhirResource(around) ? null : gridOf(around)
    if (grid !== null) {
      for (const row of grid.rows) addRow(single, grid.headings, row, JSON.stringify(row), 1)
      const constants = new Map<string, string>()
      flatten(grid.around, '', notePlain(constants, lists))
      return single.finish(constants)
    }
    const isEmptyList = frame !== null && /^\s*(\[\s*\]\s*)?$/.test(frame)
    if (!isEmptyList && !isEmptyBundle(around)) single.add(around, frame ?? '', 1)
    return single.finish()
  }
  const broken = around === null && (frame === null || !/^\s*\[\s*\]\s*$/.test(frame))
  if (broken && !unfinished) [...lists.values()].at(-1)?.add(null, tailOf(frame), 1)
  const constants = new Map<string, string>()
  if (around !== null && around.resourceType !== 'Bundle') flatten(around, '', notePlain(constants, lists))
  const remarks = broken ? ['The file is not whole JSON: it was cut short or is damaged.'] : []
  return [...lists].flatMap(([key, tables]) => {
    const made = tables.finish(constants, remarks)
    return lists.size === 1 ? made : made.map((table) => ({ ...table, file: `${file}#${key}` }))
  })
}

const isEmptyBundle = (around: JsonObject | null): boolean => around?.resourceType === 'Bundle'

/** What stands around the lists, but the emptied lists themselves. */
const notePlain =
  (constants: Map<string, string>, lists: ReadonlyMap<string, unknown>) =>
  (path: string, text: string): boolean => {
    if (text !== '' && !lists.has(path)) constants.set(path, text)
    return true
  }

const tailOf = (frame: string | null): string => (frame ?? '').slice(-200)
