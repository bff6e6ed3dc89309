import type { JsonObject, JsonValue } from './jsonRecord.ts'
import { parseObject } from './jsonRecord.ts'

type Cell = null | boolean | number | string
const isList = (value: JsonValue | undefined): value is readonly JsonValue[] => Array.isArray(value)
const isCell = (value: JsonValue): value is Cell => value === null || typeof value !== 'object'
const isBlank = (value: JsonValue): boolean => value === null || value === ''

/** A list from JSON text, or null when it is not whole JSON or no list. */
export function parseRow(text: string): readonly JsonValue[] | null {
  if (!text.trimStart().startsWith('[')) return null
  const row = parseObject(`{"row":${text}}`)?.row
  return isList(row) ? row : null
}

/** Headings, where a row can be nothing else: two or more different words, none of them a number or blank. */
export function headingsOf(row: readonly JsonValue[]): readonly string[] | null {
  const words = row.filter((cell) => typeof cell === 'string' && /\p{L}/u.test(cell)) as string[]
  return words.length === row.length && words.length > 1 && new Set(words).size === words.length
    ? words
    : null
}

/** The record of a row under its headings; null where it has other cells than they; undefined where all are blank. */
export function recordOfRow(
  headings: readonly string[],
  row: readonly JsonValue[],
): JsonObject | null | undefined {
  if (row.every(isBlank)) return undefined
  if (row.length !== headings.length || !row.every(isCell)) return null
  return Object.fromEntries(headings.map((heading, k) => [heading, row[k] as Cell]))
}

/** A table as JSON has it without a key in every row. */
export interface JsonGrid {
  readonly headings: readonly string[]
  readonly rows: readonly (readonly JsonValue[])[]
  /** What stands beside headings and rows. */
  readonly around: JsonObject
}

/**
 * The table of an object that holds one list of headings and one of rows (`{"columns": [...], "data": [[...], ...]}`), or
 * a list for each column, all of one length (`{"Client ID": [...], "Date": [...]}`). Null where it could be anything else.
 */
export function gridOf(object: JsonObject): JsonGrid | null {
  const entries = Object.entries(object)
  const rowLists = entries.filter(([, value]) => isList(value) && value.length > 0 && value.every(isList))
  const headingLists = entries.filter(([, value]) => isList(value) && headingsOf(value) !== null)
  const [rows, headings] = [rowLists[0], headingLists[0]]
  if (rowLists.length === 1 && headingLists.length === 1 && rows !== undefined && headings !== undefined)
    return {
      headings: headings[1] as readonly string[],
      rows: rows[1] as readonly (readonly JsonValue[])[],
      around: Object.fromEntries(entries.filter(([key]) => key !== rows[0] && key !== headings[0])),
    }
  const columns = entries.map(([, value]) => value)
  const length = isList(columns[0]) ? columns[0].length : 0
  if (entries.length < 2 || length === 0) return null
  if (!columns.every((column) => isList(column) && column.length === length && column.every(isCell)))
    return null
  return {
    headings: entries.map(([key]) => key),
    rows: Array.from({ length }, (_, row) =>
      columns.map((column) => (column as readonly JsonValue[])[row] as Cell),
    ),
    around: {},
  }
}
