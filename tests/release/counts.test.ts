import { parquetReadObjects } from 'hyparquet'
import { describe, expect, it } from 'vitest'
import { releasedTable } from '../../src/release/fields.ts'
import { csvOf, parquetOf } from '../../src/release/files.ts'
import { CHUNK_ROWS, Columns, type Row } from '../../src/release/rows.ts'
import { outcomesTable, reactionsTable } from '../../src/release/summary-tables.ts'

describe('figures as they are written', () => {
  const rows: Row[] = [
    ['brush', 'none', 1_000_000, 999_999],
    ['brush', 'skin', 12_345_678, 1_234_567],
    ['touch', 'none', 2_147_483_647, 1_000_001],
  ]
  const table = releasedTable(reactionsTable, Columns.of(4, rows))

  it('are exact for counts of a million or more, in CSV and Parquet', async () => {
    expect(csvOf(table)).toBe(
      [
        'stimulus,reaction,sessions_asked,count',
        'brush,none,1000000,999999',
        'brush,skin,12345678,1234567',
        'touch,none,2147483647,1000001',
        '',
      ].join('\n'),
    )
    const read = await parquetReadObjects({ file: parquetOf(table).slice().buffer as ArrayBuffer })
    expect(read.map((r) => [r.sessions_asked, r.count])).toEqual(rows.map((r) => r.slice(2)))
  })

  it('have six digits where they are no whole numbers, and no negative zero', () => {
    const row: Row = ['moro', 1_234_567, 1.23456789, -0, -2 / 3, null, 1234567.891, 1e-7 / 3]
    const text = csvOf(releasedTable(outcomesTable, Columns.of(8, [row])))
    expect(text.split('\n')[1]).toBe('moro,1234567,1.23457,0,-0.666667,,1234570,3.33333e-8')
  })

  it('keep every row and its order over the chunks in which tables grow', async () => {
    const many: Row[] = Array.from({ length: 2 * CHUNK_ROWS + 1 }, (_, i) => ['brush', 'none', i, null])
    for (const n of [CHUNK_ROWS - 1, CHUNK_ROWS, CHUNK_ROWS + 1, many.length]) {
      const columns = Columns.of(4, many.slice(0, n))
      expect(columns.length).toBe(n)
      expect(columns.column(2)).toEqual(Array.from({ length: n }, (_, i) => i))
      const long = releasedTable(reactionsTable, columns)
      expect(long.rows.at(-1)).toEqual(many[n - 1])
      expect(csvOf(long).split('\n').slice(1, -1)).toEqual(
        Array.from({ length: n }, (_, i) => `brush,none,${i},`),
      )
      const read = await parquetReadObjects({ file: parquetOf(long).slice().buffer as ArrayBuffer })
      expect(read.map((r) => r.sessions_asked)).toEqual(Array.from({ length: n }, (_, i) => i))
    }
  })
})
