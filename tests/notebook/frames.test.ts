import { from } from 'arquero'
import { describe, expect, it } from 'vitest'
import { table } from '../../src/notebook/blocks.ts'
import { asArquero, asCsv, asDanfo, asObjects } from '../../src/notebook/frames.ts'

const ROWS = [
  { a: 'a-b', b: 'c', v: 1 },
  { a: 'a', b: 'b-c', v: 5 },
  { a: 'x', b: 'y', v: null },
  { a: 'x', b: 'y', v: 3 },
]

describe('asObjects, asArquero, asCsv', () => {
  it('give the same rows from objects, from an Arquero table and from a block', () => {
    for (const rows of [ROWS, from(ROWS), table(ROWS)]) {
      expect(asObjects(rows)).toEqual(ROWS)
      expect(asArquero(rows).objects()).toEqual(ROWS)
      expect(asCsv(rows)).toBe('a,b,v\na-b,c,1\na,b-c,5\nx,y,\nx,y,3\n')
    }
  })

  it('fill fields that a row lacks, and change nothing they were given', () => {
    const uneven = [{ a: 1 }, { b: '=2' }]
    expect(asArquero(uneven).objects()).toEqual([
      { a: 1, b: null },
      { a: null, b: '=2' },
    ])
    expect(asCsv(uneven)).toBe("a,b\n1,\n,'=2\n")
    asObjects(uneven)[0]!.a = 9
    expect(uneven).toEqual([{ a: 1 }, { b: '=2' }])
  })

  it('take a table without rows', () => {
    expect(asArquero([]).numRows()).toBe(0)
    expect(asArquero(from(ROWS).slice(0, 0)).columnNames()).toEqual(['a', 'b', 'v'])
  })
})

/**
 * The faults that the docstring names. A test that fails here means that the library was mended: then the docstring is to
 * be mended too.
 */
describe('asDanfo', () => {
  it('hands over every row, "not known" as NaN among numbers', async () => {
    const frame = await asDanfo(ROWS)
    expect(frame.columns).toEqual(['a', 'b', 'v'])
    expect(frame.shape).toEqual([4, 3])
    expect(frame.column('v').values).toEqual([1, 5, Number.NaN, 3])
  })

  it('has the fault that group keys collide, and that a group mean does not skip what is missing', async () => {
    const means = (await asDanfo(ROWS)).groupby(['a', 'b']).agg({ v: 'mean' })
    expect(means.values).toEqual([
      ['a-b', 'c', 3],
      ['x', 'y', Number.NaN],
    ])
    const counts = (await asDanfo(ROWS)).groupby(['a', 'b']).agg({ v: 'count' })
    expect(counts.values).toEqual([
      ['a-b', 'c', 2],
      ['x', 'y', 2],
    ])
    expect((await asDanfo(ROWS)).column('v').mean()).toBe(3)
  })

  it('has the faults of float32 arithmetic and of a spread of one value', async () => {
    const frame = await asDanfo([{ x: 16_777_217 }])
    expect(frame.mul(1).values).toEqual([[16_777_216]])
    expect(frame.column('x').std()).toBe(0)
  })

  it('says so where there are no rows', async () => {
    await expect(asDanfo([])).rejects.toThrow(/needs a row at least/)
  })
})
