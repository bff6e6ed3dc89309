import { ByteWriter, ParquetWriter, schemaFromColumnData } from 'hyparquet-writer'
import type { ReleasedTable } from './fields.ts'
import { type Cell, CHUNK_ROWS } from './rows.ts'

/** A file of the release. */
export interface ReleaseFile {
  readonly name: string
  readonly content: string | Uint8Array
}

/**
 * A cell that a spreadsheet would run as a formula is made harmless by an apostrophe in front: text that begins with
 * `=`, `+`, `-`, `@`, tab or a line break. Numbers are never touched.
 */
const harmless = (text: string): string => (/^[=+\-@\t\r\n]/.test(text) ? `'${text}` : text)

function csvText(text: string): string {
  const safe = harmless(text)
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe
}

/** Lines that are joined at a time: pieces of text so short that they go with the next collection of young garbage. */
const LINES = 1_000

/** UTF-8, LF, comma, headings first. */
export function csvOf({ definition, columns: { chunks } }: ReleasedTable): string {
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
  const line = (cells: readonly Cell[][], row: number): string => {
    let text = cellText(cells[0]![row]!)
    for (let c = 1; c < cells.length; c++) text += `,${cellText(cells[c]![row]!)}`
    return text
  }
  const pieces = [definition.fields.map((f) => f.name).join()]
  for (const cells of chunks) {
    const { length } = cells[0]!
    for (let from = 0; from < length; from += LINES)
      pieces.push(
        Array.from({ length: Math.min(LINES, length - from) }, (_, i) => line(cells, from + i)).join('\n'),
      )
  }
  return `${pieces.join('\n')}\n`
}

const PARQUET_TYPES = { string: 'STRING', integer: 'INT32', number: 'DOUBLE' } as const

/** The same table as Parquet, uncompressed, so that the same rows give the same bytes. */
export function parquetOf({ definition, columns }: ReleasedTable): Uint8Array {
  const dataOf = (cells: readonly Cell[][]) =>
    definition.fields.map((field, c) => ({
      name: field.name,
      type: PARQUET_TYPES[field.type],
      nullable: true,
      data: cells[c]!,
    }))
  const writer = new ByteWriter()
  const parquet = new ParquetWriter({
    writer,
    schema: schemaFromColumnData({ columnData: dataOf(columns.chunks[0]!) }),
    codec: 'UNCOMPRESSED',
    statistics: false,
  })
  for (const cells of columns.chunks)
    parquet.write({
      columnData: dataOf(cells).map(({ name, data }) => ({ name, data })),
      rowGroupSize: CHUNK_ROWS,
    })
  parquet.finish()
  return writer.getBytes()
}
