import type { ByteDictionary } from './byteDictionary.ts'
import { ByteColumn } from './formats/delimited/tableOfRecords.ts'
import type { RawColumn } from './raw.ts'
import { textAt } from './rawColumn.ts'

/**
 * Free text of one column as numbers of a dictionary shared by all tables: each distinct text is carried over once,
 * as bytes, and only when a record that is kept asks for it.
 */
export function textCodes(column: RawColumn, shared: ByteDictionary): (row: number) => number {
  if (!('codes' in column)) return (row) => shared.codeOfText(textAt(column, row))
  const { codes } = column
  const size = column instanceof ByteColumn ? column.dictionary.size : column.values.length
  const map = new Int32Array(size).fill(-1)
  const carry = (code: number): number => {
    if (!(column instanceof ByteColumn)) return shared.codeOfText(column.values[code] as string)
    const { dictionary } = column
    return dictionary.isPlain(code)
      ? shared.codeOfBytes(dictionary.bytesOf(code))
      : shared.codeOfText(dictionary.textOf(code))
  }
  return (row) => {
    const code = codes[row] as number
    const known = map[code] as number
    if (known >= 0) return known
    const carried = carry(code)
    map[code] = carried
    return carried
  }
}
