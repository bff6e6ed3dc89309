import { describe, expect, it } from 'vitest'
import { Likeness } from '../../src/load/assemble/likeness.ts'
import { RecordSet } from '../../src/load/recordSet.ts'

interface Row {
  readonly id: string
  readonly rater: string | null
  readonly score: number
}

describe('rows of one key', () => {
  it('are found whatever stands between them, and no rater at all is not a rater without a name', () => {
    const rows: Row[] = [
      { id: 'A', rater: null, score: 1 },
      { id: 'A', rater: '', score: 2 },
      { id: 'B', rater: null, score: 1 },
      { id: 'A', rater: null, score: 1 },
      { id: 'B', rater: null, score: 3 },
    ]
    const { firstOf, conflicts } = new Likeness(rows, ['id', 'rater'], ['score']).compare()
    expect([...firstOf]).toEqual([0, 1, 2, 0, 2])
    expect([...conflicts]).toEqual([0, 0, 1, 0, 0])
  })

  it('are those that a map by text finds, among 20,000 rows of 700 keys', () => {
    const rows: Row[] = Array.from({ length: 20_000 }, (_, i) => ({
      id: `SM-${(i * 7919) % 350}`,
      rater: i % 2 === 0 ? 'M.T.' : null,
      score: i % 5,
    }))
    const first = new Map<string, number>()
    const wanted = rows.map(({ id, rater }, i) => {
      const key = JSON.stringify([id, rater])
      if (!first.has(key)) first.set(key, i)
      return first.get(key)
    })
    expect([...new Likeness(rows, ['id', 'rater'], ['score']).compare().firstOf]).toEqual(wanted)
  })
})

describe('a set of record numbers', () => {
  it('counts each once, however far apart they lie', () => {
    const set = new RecordSet()
    for (const record of [0, 7, 8, 1_000_003, 7]) set.add(record)
    expect(set.size).toBe(4)
    expect([0, 7, 8, 1_000_003].every((record) => set.has(record))).toBe(true)
    expect([1, 6, 9, 1_000_002, 2_000_000].some((record) => set.has(record))).toBe(false)
  })
})
