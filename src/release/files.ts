import { parquetWriteBuffer } from 'hyparquet-writer'
import type { ReleasedTable } from './fields.ts'
import type { Cell } from './rows.ts'

/** A file of the release. */
export interface ReleaseFile {
  readonly name: string
  readonly content: string | Uint8Array
}

/**
 * A cell that a spreadsheet would run as a formula is made harmless by an apostrophe in front: text that begins with
 * `=`, `+`, `-`, `@`, tab or a line break. Numbers are never touched.
 */
export const harmless = (text: string): string => (/^[=+\-@\t\r\n]/.test(text) ? `'${text}` : text)

function csvText(text: string): string {
  const safe = harmless(text)
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe
}

/** Lines that are joined at a time: pieces of text so short that they go with the next collection of young garbage. */
const LINES = 1_000
/** Rows of a group of the Parquet file; the writer's arrays of a group are as short-lived. */
const GROUP_ROWS = 15_000

/** UTF-8, LF, comma, headings first. */
export function csvOf({ definition, columns: { cells, length } }: ReleasedTable): string {
  // The same words and pseudonyms come back in many rows.
  const written = new Map<string, string>()
  const cellText = (cell: Cell): string => {
    if (cell === null) return ''
    if (typeof cell === 'number') return String(cell)
    let text = written.get(cell)
    if (text === undefined) {
      text = csvText(cell)
      written.set(cell, text)
    }
    return text
  }
  const line = (row: number): string => {
    let text = cellText(cells[0]![row]!)
    for (let c = 1; c < cells.length; c++) text += `,${cellText(cells[c]![row]!)}`
    return text
  }
  const pieces = [definition.fields.map((f) => f.name).join()]
  for (let from = 0; from < length; from += LINES)
    pieces.push(Array.from({ length: Math.min(LINES, length - from) }, (_, i) => line(from + i)).join('\n'))
  return `${pieces.join('\n')}\n`
}

const PARQUET_TYPES = { string: 'STRING', integer: 'INT32', number: 'DOUBLE' } as const

/** The same table as Parquet, uncompressed, so that the same rows give the same bytes. */
export function parquetOf({ definition, columns }: ReleasedTable): Uint8Array {
  const columnData = definition.fields.map((field, c) => ({
    name: field.name,
    type: PARQUET_TYPES[field.type],
    nullable: true,
    data: columns.cells[c]!,
  }))
  return new Uint8Array(
    parquetWriteBuffer({ columnData, codec: 'UNCOMPRESSED', statistics: false, rowGroupSize: GROUP_ROWS }),
  )
}
