import { ByteColumn } from './formats/delimited/tableOfRecords.ts'
import type { RawColumn } from './raw.ts'

/** The text of one cell. */
export function textAt(column: RawColumn, row: number): string {
  if (column instanceof ByteColumn) return column.dictionary.textOf(column.codes[row] as number)
  return 'codes' in column ? (column.values[column.codes[row] as number] as string) : column.text(row)
}

export const isBlankAt = (column: RawColumn, row: number): boolean => textAt(column, row).trim() === ''

/** Each distinct text of a column once, as far as the column knows them. */
export function* distinctTexts(column: RawColumn, length: number): Generator<string> {
  if (column instanceof ByteColumn)
    for (let code = 0; code < column.dictionary.size; code++) yield column.dictionary.textOf(code)
  else if ('codes' in column) yield* column.values
  else for (let row = 0; row < length; row++) yield column.text(row)
}
