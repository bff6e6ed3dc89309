import { describe, expect, it } from 'vitest'
import { sequenceRisk } from '../../src/release/longitudinal.ts'
import type { Sequence } from '../../src/release/sequence.ts'
import { twoVisitRisks } from '../../src/release/two-visit-risk.ts'

const seen = (person: string, personClass: string, months: number | null, ...days: number[]): Sequence => ({
  person,
  personClass,
  days,
  reflexes: ['moro'],
  monthsFollowed: months,
})

describe('two visits known to the day, worked out by hand', () => {
  // In weeks: a and b were seen in 0 and 5, c in 0, 5 and 10, d as a but in another class.
  const a = seen('a', 'c', 1, 0, 35)
  const b = seen('b', 'c', 1, 2, 36)
  const c = seen('c', 'c', 2, 0, 35, 70)
  const d = seen('d', 'other', 1, 0, 35)

  it('fit every row of the class with visits in both units; the worst two visits count', () => {
    // (0, 5) fits a, b and c. Of c, (0, 10) and (5, 10) fit c alone. d is alone in the class.
    expect(twoVisitRisks([a, b, c, d], 'week')).toEqual([1 / 3, 1 / 3, 1, 1])
  })

  it('in the coarsest unit leave the class alone', () => {
    expect(twoVisitRisks([a, b, c, d], 'before_or_after')).toEqual([1 / 3, 1 / 3, 1 / 3, 1])
  })

  it('do not fit a row that was followed for less than they lie apart', () => {
    // In quarters x and y were seen in 0 and 1. x's visits lie 100 days apart, 3 months; y was followed for 2, released as 0.
    const x = seen('x', 'c', 3, 0, 100)
    const y = seen('y', 'c', 2, 10, 95)
    expect(twoVisitRisks([x, y], 'quarter')).toEqual([1, 1 / 2])
  })

  it('of somebody seen once are that visit; of somebody never seen the class', () => {
    // (0) fits once and a; never has nothing to be known but the class of three.
    const once = seen('once', 'c', 0, 3)
    const never = seen('never', 'c', null)
    expect(twoVisitRisks([once, never, a], 'week')).toEqual([1 / 2, 1 / 3, 1])
  })

  it('of somebody withheld fit nothing, which leaves the withheld of the class', () => {
    // Without c the pair (0, 5) fits a and b. c is the one withheld in the class: found. With b withheld too, one of two.
    expect(twoVisitRisks([a, b, c], 'week', new Set(['c']))).toEqual([1 / 2, 1 / 2, 1])
    expect(twoVisitRisks([a, b, c], 'week', new Set(['b', 'c']))).toEqual([1, 1 / 2, 1 / 2])
  })

  it('are reported as largest, mean and share found for certain', () => {
    // 1/3, 1/3, 1, 1: mean 8/12, two of four for certain. Sequences 0-5, 0-5, 0-5-10, 0-5: one of four alone, and d in its class.
    expect(sequenceRisk([a, b, c, d], 'week')).toEqual({
      unit: 'week',
      uniqueBySequence: 1 / 4,
      uniqueBySequenceInClass: 2 / 4,
      twoVisitRiskMax: 1,
      twoVisitRiskMean: expect.closeTo(8 / 12, 12),
      twoVisitAlone: 1 / 2,
    })
  })
})
