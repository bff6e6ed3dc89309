import { describe, expect, it } from 'vitest'
import { coarsen, sequenceRisk } from '../../src/release/longitudinal.ts'
import { reflexKey, type Sequence, shareUnique } from '../../src/release/sequence.ts'
import { inUnits } from '../../src/release/time-units.ts'

const seen = (person: string, ...days: number[]): Sequence => ({
  person,
  personClass: 'c',
  days,
  reflexes: ['moro'],
  monthsFollowed: null,
})

describe('sequences of visits', () => {
  it('count units from the start, the last before it being -1', () => {
    expect([-8, -7, -1, 0, 6, 7, 30].map((d) => inUnits(d, 'week'))).toEqual([-2, -1, -1, 0, 0, 1, 4])
    expect([-1, 0, 30, 31].map((d) => inUnits(d, 'month'))).toEqual([-1, 0, 0, 1])
    expect([-400, 0, 400].map((d) => inUnits(d, 'before_or_after'))).toEqual([-1, 0, 0])
  })

  it('have a share of unique keys worked out by hand', () => {
    expect(shareUnique(['a', 'a', 'b', 'c'])).toBe(0.5)
    expect(shareUnique([])).toBe(0)
  })

  // Four people: days 0,40 · 0,41 · 0,45 · 0,80. By day all four are unique; by week 40 and 41 fall together in week 5,
  // 45 in week 6; by month 40, 41 and 45 fall in month 1 and 80 in month 2; by quarter all four are alike.
  const four = [seen('a', 0, 40), seen('b', 0, 41), seen('c', 0, 45), seen('d', 0, 80)]

  it('are told apart less in coarser units', () => {
    expect(sequenceRisk(four, 'day').uniqueBySequence).toBe(1)
    expect(sequenceRisk(four, 'week').uniqueBySequence).toBe(0.5)
    expect(sequenceRisk(four, 'month').uniqueBySequence).toBe(0.25)
    expect(sequenceRisk(four, 'quarter').uniqueBySequence).toBe(0)
  })

  it('give two known visits away as worked out by hand', () => {
    // by month, pair (0, 1) fits a, b, c; pair (0, 2) fits d alone
    expect(sequenceRisk(four, 'month')).toMatchObject({
      twoVisitRiskMax: 1,
      twoVisitRiskMean: (1 / 3 + 1 / 3 + 1 / 3 + 1) / 4,
    })
  })

  it('are coarsened from weeks on until the share is reached, and every step is reported', () => {
    const found = coarsen(four)
    expect(found.unit).toBe('quarter')
    expect(found.tried.map((t) => t.unit)).toEqual(['week', 'month', 'quarter'])
    expect(coarsen(four, { maxUnique: 0.5 }).unit).toBe('week')
  })

  it('withhold whom no unit hides, in the finest unit that hides the others', () => {
    const found = coarsen([...four, seen('e', -400, -300, 5)])
    expect(found.unit).toBe('quarter')
    // e withheld alone would be the only one withheld, so known for certain: a keeps e company, and each is one of two
    expect(found.withheld).toEqual(['a', 'e'])
    expect(found.released).toMatchObject({ uniqueBySequence: 0, twoVisitAlone: 0, twoVisitRiskMax: 1 / 2 })
  })

  it('are counted alone by their sets of reflexes among those whose scores leave', () => {
    // {moro} twice, {moro, snout} once, {snout} once: two of four are alone. With a and e withheld (as above) the rest are alike.
    const sets = [['moro'], ['moro', 'moro'], ['snout', 'moro'], ['snout']]
    const people = sets.map((reflexes, i) => ({ ...seen(`p${i}`, 0, 40), reflexes }))
    expect(coarsen(people).uniqueByReflexes).toBe(2 / 4)
    const e = { ...seen('e', -400, -300, 5), reflexes: ['rooting'] }
    expect(coarsen([...four, e])).toMatchObject({ withheld: ['a', 'e'], uniqueByReflexes: 0 })
  })

  it('know a set of reflexes whatever its order and repeats', () => {
    const of = (...reflexes: string[]): string => reflexKey({ ...seen('a', 0), reflexes })
    expect(of('moro', 'rooting', 'moro')).toBe(of('rooting', 'moro'))
  })
})
