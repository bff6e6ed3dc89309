import { describe, expect, it } from 'vitest'
import {
  allSeries,
  differenceInPoints,
  doubleScorings,
  isComputed,
  smallestReliableDifference,
} from '../../src/measures/index.ts'
import type { Assessment } from '../../src/records/index.ts'
import { client, on, recordsOf, scores } from './rows.ts'

const asOf = on('2024-12-31')
const difference = (assessments: Assessment[], options = {}) => {
  const ids = [...new Set(assessments.map((a) => a.client_id))]
  const series = allSeries(recordsOf({ clients: ids.map((id) => client(id, null)), assessments }), { asOf })
  return smallestReliableDifference(series, { asOf, ...options })
}

/** 10 clients, three doubly scored days each: of 30 pairs, 15 differ by one point of 4 and 15 agree. */
const doubles = Array.from({ length: 10 }, (_, k) =>
  ['2024-01-01', '2024-02-01', '2024-03-01'].flatMap((date, i) =>
    scores(`c${k}`, 'moro', 'midline', [
      [date, 2, 'r1'],
      [date, (3 * k + i) % 2 === 0 ? 3 : 2, 'r2'],
    ]),
  ),
).flat()

describe('the smallest reliable difference', () => {
  it('is 1.96 √(mean d²) of 30 double scorings of 10 clients', () => {
    // Mean d² = 15 / 30 = 0.5 points²; 1.96 √0.5 = 1.38593 points.
    const r = difference(doubles)
    if (!isComputed(r)) throw new Error(r.notComputed)
    expect(r).toMatchObject({ from: 'own double scorings', pairs: 30, clients: 10 })
    expect(differenceInPoints(r, 4)).toBeCloseTo(1.96 * Math.sqrt(0.5), 12)
  })

  it('is assumed, and says so, with 29 pairs or 9 clients', () => {
    const withoutOne = doubles.slice(0, -1)
    expect(difference(withoutOne)).toMatchObject({ from: 'assumed', pairs: 29 })
    const nineClients = doubles.map((a) =>
      a.client_id === 'c9' ? { ...a, client_id: 'c8', reflex: 'snout' as const } : a,
    )
    expect(difference(nineClients)).toMatchObject({ from: 'assumed', pairs: 30, clients: 9 })
  })

  it('assumes SEM = SD of baselines · √0.20', () => {
    // Baselines 1, 2, 3 and 4 of 4: SD = √(5/3) = 1.29099 points; 1.96 · √2 · 1.29099 · √0.2 = 1.60033.
    const r = difference(
      [1, 2, 3, 4].flatMap((s, k) => scores(`c${k}`, 'moro', 'midline', [['2024-01-01', s]])),
    )
    if (!isComputed(r)) throw new Error(r.notComputed)
    expect(differenceInPoints(r, 4)).toBeCloseTo(1.96 * Math.sqrt(2) * Math.sqrt(5 / 3) * Math.sqrt(0.2), 12)
    expect(differenceInPoints(r, 4)).toBeCloseTo(1.60033, 5)
    expect(r.note).toContain('Assumed')
    expect(r.note).toContain('ICC 0.80')
  })

  it('cannot be assumed from baselines without spread: a difference of 0 would call everything change', () => {
    const r = difference([2, 2].flatMap((s, k) => scores(`c${k}`, 'moro', 'midline', [['2024-01-01', s]])))
    expect(isComputed(r)).toBe(false)
  })

  it('pairs named raters only, three raters making three pairs', () => {
    const rows = scores('a', 'moro', 'midline', [
      ['2024-01-01', 1, 'r1'],
      ['2024-01-01', 2, 'r2'],
      ['2024-01-01', 4, 'r3'],
      ['2024-02-01', 1, 'r1'],
    ])
    const unnamed = { ...rows[3]!, rater_id: null }
    const series = allSeries(recordsOf({ clients: [client('a', null)], assessments: [...rows, unnamed] }), {
      asOf,
    })
    expect(doubleScorings(series).map((p) => p.severities)).toEqual([
      [0.25, 0.5],
      [0.25, 1],
      [0.5, 1],
    ])
  })
})
