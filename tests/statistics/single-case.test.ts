import { describe, expect, it } from 'vitest'
import { baselineCorrectedTau } from '../../src/statistics/baseline-corrected-tau.ts'
import { nonOverlapOfAllPairs } from '../../src/statistics/non-overlap-of-all-pairs.ts'
import { phaseRandomisationTest } from '../../src/statistics/phase-randomisation-test.ts'
import { tauU } from '../../src/statistics/tau-u.ts'

describe('nonOverlapOfAllPairs', () => {
  it('counts pairs, by hand', () => {
    // A 2 3 3 4, B 4 5 6: of 12 pairs 11 better, one tied (4 and 4).
    const overlap = nonOverlapOfAllPairs([2, 3, 3, 4], [4, 5, 6])
    expect([overlap.pairsBetter, overlap.pairsTied, overlap.pairsWorse]).toEqual([11, 1, 0])
    expect(overlap.nap).toBeCloseTo(11.5 / 12, 12)
    expect(overlap.tau).toBeCloseTo(11 / 12, 12)
    expect(overlap.nonOverlappingShare).toBeCloseTo(2 / 3, 12)
    expect([overlap.meanDifference, overlap.medianDifference]).toEqual([2, 2])
  })

  it('gives the roots of Newcombe (2006) method 5 that R finds', () => {
    // uniroot on (t - A)^2 = z^2 t (1 - t) (1 + h (1 - t) / (2 - t) + h t / (1 + t)) / (m n), h = (m + n) / 2 - 1
    const overlap = nonOverlapOfAllPairs([1, 2, 3, 4, 2], [3, 4, 2, 5, 5, 6, 4])
    expect(overlap.interval.lower).toBeCloseTo(0.49803812754545, 10)
    expect(overlap.interval.upper).toBeCloseTo(0.96262476490315, 10)
    expect(overlap.tauInterval.lower).toBeCloseTo(2 * 0.49803812754545 - 1, 10)
    const apart = nonOverlapOfAllPairs([1, 2], [3, 4])
    expect([apart.interval.lower, apart.interval.upper]).toEqual([expect.closeTo(0.385635704497, 9), 1])
    const reversed = nonOverlapOfAllPairs([3, 4], [1, 2])
    expect([reversed.interval.lower, reversed.interval.upper]).toEqual([
      0,
      expect.closeTo(1 - 0.385635704497, 9),
    ])
  })

  it('turns with the direction of improvement, and does not mind order, shift and scale', () => {
    const a = [3, 2, 4, 4]
    const b = [1, 2, 0]
    const down = nonOverlapOfAllPairs(a, b, { improvement: 'decrease' })
    expect(down.nap).toBeCloseTo(1 - nonOverlapOfAllPairs(a, b).nap, 12)
    expect(down.meanDifference).toBeLessThan(0)
    const moved = nonOverlapOfAllPairs(
      a.toReversed().map((v) => 0.1 * v + 0.2),
      b.toReversed().map((v) => 0.1 * v + 0.2),
      { improvement: 'decrease' },
    )
    expect([moved.nap, moved.pairsTied, moved.p]).toEqual([down.nap, down.pairsTied, down.p])
  })

  it('holds at the edges', () => {
    const flat = nonOverlapOfAllPairs([2, 2], [2, 2, 2])
    expect([flat.nap, flat.tau, flat.p, flat.nonOverlappingShare]).toEqual([0.5, 0, 1, 0])
    expect(nonOverlapOfAllPairs([1], [2]).nap).toBe(1)
    expect(nonOverlapOfAllPairs([1, null], [Number.NaN, 2]).nDropped).toBe(2)
    expect(() => nonOverlapOfAllPairs([], [1])).toThrow('a score in each phase; found 0 and 1')
    expect(() => nonOverlapOfAllPairs([1], [null])).toThrow('a score in each phase; found 1 and 0')
  })
})

describe('tauU', () => {
  it('gives every form, by hand', () => {
    // A 2 3 3 4: of 6 pairs 5 rise, one ties; B 4 5 6: 3 rise. Between: 11.
    const tau = tauU([2, 3, 3, 4], [4, 5, 6])
    expect([tau.sBetween, tau.sTrendA, tau.sTrendB]).toEqual([11, 5, 3])
    expect(tau.minusTrendAOverBetweenPairs).toBeCloseTo(6 / 12, 12)
    expect(tau.minusTrendAOverOwnPairs).toBeCloseTo(6 / 18, 12)
    expect(tau.plusTrendBMinusTrendAOverAllPairs).toBeCloseTo(9 / 21, 12)
    expect([tau.tauTrendA, tau.tauTrendB]).toEqual([5 / 6, 1])
    // tau-b with the phase: S = 11 of 12 pairs untied by phase and 21 - 2 untied by score.
    expect(tau.kendallWithPhase.tauB).toBeCloseTo(11 / Math.sqrt(12 * 19), 12)
  })

  it('is the same with decrease on mirrored scores', () => {
    const a = [2, 3, 1, 4]
    const b = [4, 5, 6]
    const mirrored = tauU(
      a.map((v) => -v),
      b.map((v) => -v),
      { improvement: 'decrease' },
    )
    expect({ ...mirrored, improvement: 'increase' }).toEqual(tauU(a, b))
  })

  it('orders occasions by the times given, and keeps gaps', () => {
    const tau = tauU([4, 2, 3], [5, 6], { timesA: [3, 1, 2], timesB: [5, 4] })
    expect([tau.sTrendA, tau.sTrendB]).toEqual([3, -1])
    expect(tauU([2, null, 3], [4, 5], {}).nDropped).toBe(1)
    expect(() => tauU([1, 2], [3], { timesA: [1], timesB: [1] })).toThrow('a time a score')
  })

  it('holds at the edges', () => {
    const one = tauU([1], [1])
    expect([one.tau, one.tauTrendA, one.tauTrendB, one.kendallWithPhase.tauB]).toEqual([0, null, null, null])
    expect(() => tauU([null], [1])).toThrow('a score in each phase')
  })
})

describe('baselineCorrectedTau', () => {
  it('removes a line that runs on, by hand', () => {
    // A 1 2 3 rises by 1 an occasion; B 4 5 6 goes on just so: all residuals 0.
    const goesOn = baselineCorrectedTau([1, 2, 3], [4, 5, 6])
    expect([goesOn.baselineSlope, goesOn.baselineIntercept, goesOn.tauB]).toEqual([1, 0, null])
    // B one above the line throughout: residuals 0 0 0 1 1 1, tau-b = 9 / sqrt(9 * 9).
    expect(baselineCorrectedTau([1, 2, 3], [5, 6, 7]).tauB).toBeCloseTo(1, 12)
    expect(baselineCorrectedTau([1, 2, 3], [5, 6, 7], { improvement: 'decrease' }).tauB).toBeCloseTo(-1, 12)
  })

  it('ties residuals that are rounding error, at any scale', () => {
    const goesOn = baselineCorrectedTau([0.1, 0.2, 0.3], [0.4, 0.5, 0.6, 0.7])
    expect(goesOn.tauB).toBeNull()
    const days = [20_000, 20_007, 20_014, 20_021]
    const late = baselineCorrectedTau([0.1, 0.2, 0.3], [0.4], {
      timesA: days.slice(0, 3),
      timesB: days.slice(3),
    })
    expect(late.tauB).toBeNull()
  })

  it('needs three baseline occasions', () => {
    expect(() => baselineCorrectedTau([1, 2], [3])).toThrow('three occasions in phase A; found 2')
  })
})

describe('phaseRandomisationTest', () => {
  it('moves the start over all candidates, by hand', () => {
    // Starts 2 to 4 of six scores, two occasions at least in each phase.
    const scores = [1, 1, 1, 4, 4, 4]
    const test = phaseRandomisationTest(scores, 3, { fewestInA: 2, fewestInB: 2 })
    expect(test.candidates.map((c) => c.start)).toEqual([2, 3, 4])
    // Differences: (1+4+4+4)/4 - 1 = 2.25; 4 - 1 = 3; 4 - (1+1+1+4)/4 = 2.25.
    expect(test.candidates.map((c) => c.statistic)).toEqual([2.25, 3, 2.25])
    expect([test.p, test.pGreater, test.pLess]).toEqual([1 / 3, 1 / 3, 1])
    const median = phaseRandomisationTest(scores, 3, {
      fewestInA: 2,
      fewestInB: 2,
      statistic: 'median difference',
    })
    expect(median.candidates.map((c) => c.statistic)).toEqual([3, 3, 3])
    expect(median.p).toBe(1)
  })

  it('does not mind shift and scale; mirrored scores turn the sides', () => {
    const scores = [3, 4, 2, 5, 1, 0, 2, 1]
    const test = phaseRandomisationTest(scores, 4)
    const mirrored = phaseRandomisationTest(
      scores.map((v) => 5 - 3 * v),
      4,
    )
    expect([mirrored.p, mirrored.pGreater]).toEqual([test.p, test.pLess])
  })

  it('keeps the place of missing occasions, and says what it cannot do', () => {
    const test = phaseRandomisationTest([1, null, 1, 4, 4, null], 3, { fewestInA: 1, fewestInB: 1 })
    expect([test.n, test.nDropped, test.statistic]).toEqual([4, 2, 3])
    expect(test.candidates.at(-1)).toEqual({ start: 5, statistic: null })
    expect(() => phaseRandomisationTest([1, 2, 3, 4, 5, 6], 2)).toThrow('a start from 3 to 3')
    expect(() => phaseRandomisationTest([1, 2, 3, 4, 5, 6], 3)).toThrow('two possible starts; found 1')
    expect(() => phaseRandomisationTest([], 0)).toThrow('a start from')
    expect(phaseRandomisationTest([2, 2, 2, 2, 2, 2, 2], 3).p).toBe(1)
  })
})
