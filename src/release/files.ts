import { parquetWriteBuffer } from 'hyparquet-writer'
import type { ReleasedTable } from './fields.ts'
import type { Cell, Row } from './rows.ts'

/** A file of the release. */
export interface ReleaseFile {
  readonly name: string
  readonly content: string | Uint8Array
}

/** Numbers as a release writes them: enough digits to work with, none that only the machine knows. */
const NUMBER_DIGITS = 6

/** Counts stay exact, whatever their size; there is no negative zero. */
const tidy = (x: number): number => (Number.isInteger(x) ? x + 0 : Number(x.toPrecision(NUMBER_DIGITS)))

/**
 * A cell that a spreadsheet would run as a formula is made harmless by an apostrophe in front: text that begins with
 * `=`, `+`, `-`, `@`, tab or a line break. Numbers are never touched.
 */
export const harmless = (text: string): string => (/^[=+\-@\t\r\n]/.test(text) ? `'${text}` : text)

function csvText(text: string): string {
  const safe = harmless(text)
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe
}

/** Lines that are joined at a time: pieces of text, so that a long table costs little more than its bytes. */
const LINES = 5_000

/** UTF-8, LF, comma, headings first. */
export function csvOf({ definition, rows }: ReleasedTable): string {
  // The same words and pseudonyms come back in many rows.
  const written = new Map<string, string>()
  const cellText = (cell: Cell): string => {
    if (cell === null) return ''
    if (typeof cell === 'number') return String(tidy(cell))
    let text = written.get(cell)
    if (text === undefined) {
      text = csvText(cell)
      written.set(cell, text)
    }
    return text
  }
  const line = (row: Row): string => {
    let text = cellText(row[0]!)
    for (let c = 1; c < row.length; c++) text += `,${cellText(row[c]!)}`
    return text
  }
  const pieces = [line(definition.fields.map((f) => f.name))]
  for (let from = 0; from < rows.length; from += LINES)
    pieces.push(
      rows
        .slice(from, from + LINES)
        .map(line)
        .join('\n'),
    )
  return `${pieces.join('\n')}\n`
}

const PARQUET_TYPES = { string: 'STRING', integer: 'INT32', number: 'DOUBLE' } as const

/** The same table as Parquet, uncompressed, so that the same rows give the same bytes. */
export function parquetOf({ definition, rows }: ReleasedTable): Uint8Array {
  const columnData = definition.fields.map((field, c) => ({
    name: field.name,
    type: PARQUET_TYPES[field.type],
    nullable: true,
    data: rows.map((row) => {
      const cell = row[c]!
      return typeof cell === 'number' ? tidy(cell) : cell
    }),
  }))
  return new Uint8Array(parquetWriteBuffer({ columnData, codec: 'UNCOMPRESSED', statistics: false }))
}
