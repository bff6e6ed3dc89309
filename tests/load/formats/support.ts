import type { ReadContext } from '../../../src/load/context.ts'
import { memorySource, type Source } from '../../../src/load/formats/source.ts'
import type { TableRules } from '../../../src/load/guide/guide.ts'
import type { RawTable } from '../../../src/load/raw.ts'

/** A context where the guide says the same of every table, and names the tables given. */
export const contextOf = (rules: TableRules = {}, named: readonly string[] = []): ReadContext => ({
  rulesFor: () => rules,
  names: (table) => named.includes(table),
})

export const textSource = (file: string, text: string): Source => memorySource(file, Buffer.from(text))

/** Bytes in pieces of a given size, for readers that must not care where a piece ends. */
export const inPieces = (file: string, bytes: Uint8Array, size: number): Source => ({
  file,
  chunks: async function* () {
    for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size)
  },
})

/** The rows of a table as objects, empty cells left out. */
export function rowsOf(table: RawTable): Record<string, string>[] {
  return Array.from({ length: table.length }, (_, row) =>
    Object.fromEntries(
      table.headings.flatMap((heading, c) => {
        const text = cellOf(table, row, c)
        return text === '' ? [] : [[heading, text] as const]
      }),
    ),
  )
}

export function cellOf(table: RawTable, row: number, column: number): string {
  const found = table.columns[column]!
  return 'text' in found ? found.text(row) : found.values[found.codes[row]!]!
}

/** A stream of one chunk over and over, `count` times: a large file that is never held. */
export const repeated = (file: string, chunk: Uint8Array, count: number): Source => ({
  file,
  chunks: async function* () {
    for (let i = 0; i < count; i++) yield chunk
  },
})
