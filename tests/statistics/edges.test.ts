import fc from 'fast-check'
import { expect, it, describe as suite } from 'vitest'
import {
  binomialFunnelLimits,
  blandAltman,
  CannotEstimate,
  changeNetOfRegression,
  cliffsDelta,
  clinicalCutoffs,
  clopperPearsonInterval,
  dailyCoverage,
  describe,
  hodgesLehmann,
  independentEffectSizes,
  individualsChart,
  intraclassCorrelations,
  kappa,
  type Maybe,
  matchedPairsRankBiserial,
  mcNemarTest,
  measurementError,
  pairedEffectSizes,
  pairedTTest,
  poissonRate,
  poissonRateRatio,
  regressionToTheMean,
  reliableChangeTable,
  signTest,
  twoByTwo,
  wilcoxonSignedRank,
  wilsonInterval,
} from '../../src/statistics/index.ts'

/** Every number of a result, with the path to it. */
function* numbersOf(value: unknown, at = ''): Generator<[string, number]> {
  if (typeof value === 'number') yield [at, value]
  else if (value !== null && typeof value === 'object')
    for (const [key, inner] of Object.entries(value)) yield* numbersOf(inner, `${at}.${key}`)
}

const notANumber = (result: unknown): string[] =>
  [...numbersOf(result)].filter(([, x]) => Number.isNaN(x)).map(([at]) => at)

/** The result, or null where the estimator says what it needs. Any other error is a bug. */
function tried<T>(estimate: () => T): T | null {
  try {
    return estimate()
  } catch (error) {
    expect(error).toBeInstanceOf(CannotEstimate)
    expect((error as Error).message).toMatch(/^\w+ needs .+; found .+/)
    return null
  }
}

type Values = readonly Maybe[]
type OfPairs = (before: Values, after: Values) => object

const PAIRED: Readonly<Record<string, OfPairs>> = {
  pairedTTest,
  wilcoxonSignedRank,
  'wilcoxonSignedRank, Pratt': (x, y) => wilcoxonSignedRank(x, y, { zeros: 'pratt' }),
  hodgesLehmann,
  signTest,
  pairedEffectSizes,
  matchedPairsRankBiserial,
  blandAltman,
  changeNetOfRegression: (x, y) => changeNetOfRegression(x, y, 2),
  reliableChangeTable: (x, y) =>
    reliableChangeTable(x, y, { sd: 1.1, reliability: 0.8, cutoff: 2, higherIsBetter: false }),
}
const GROUPED: Readonly<Record<string, OfPairs>> = { independentEffectSizes, cliffsDelta }
const SINGLE: Readonly<Record<string, (x: Values) => object>> = { describe, individualsChart }

const EDGES: Readonly<Record<string, readonly [Values, Values]>> = {
  'n = 0': [[], []],
  'n = 1': [[2], [3]],
  'n = 2': [
    [1, 2],
    [3, 5],
  ],
  'all equal': [
    [2, 2, 2, 2],
    [2, 2, 2, 2],
  ],
  'constant change': [
    [0.1, 0.2, 0.3, 0.4],
    [0.2, 0.3, 0.4, 0.5],
  ],
  'one side constant': [
    [2, 2, 2, 2],
    [1, 2, 3, 4],
  ],
  'all missing': [
    [null, undefined, Number.NaN],
    [1, 2, 3],
  ],
  'halves missing': [
    [null, 1, 3, 2, 4],
    [1, 2, null, 4, 1],
  ],
  'very large values': [
    [1e150, 2e150, 3e150, 5e150],
    [2e150, 5e150, 1e150, 9e150],
  ],
  'very small values': [
    [1e-140, 2e-140, 3e-140, 5e-140],
    [2e-140, 5e-140, 1e-140, 9e-140],
  ],
  'large offset': [
    [1e9 + 1, 1e9 + 2, 1e9 + 4, 1e9 + 3],
    [1e9 + 2, 1e9 + 5, 1e9 + 3, 1e9 + 9],
  ],
}

suite('at the edges an estimator answers, or says what it needs; never NaN', () => {
  for (const [edge, [x, y]] of Object.entries(EDGES)) {
    for (const [name, estimate] of Object.entries({ ...PAIRED, ...GROUPED }))
      it(`${name}: ${edge}`, () => expect(notANumber(tried(() => estimate(x, y)))).toEqual([]))
    for (const [name, estimate] of Object.entries(SINGLE))
      it(`${name}: ${edge}`, () => expect(notANumber(tried(() => estimate(y)))).toEqual([]))
  }

  it('refuses pairs of unequal length', () => {
    for (const [name, estimate] of Object.entries(PAIRED))
      expect(() => estimate([1, 2, 3], [1, 2]), name).toThrow(CannotEstimate)
  })

  it('refuses a level that is none', () => {
    for (const level of [0, 1, 95, -0.5, Number.NaN]) {
      expect(() => pairedTTest([1, 2, 3], [2, 4, 3], { level })).toThrow(CannotEstimate)
      expect(() => pairedEffectSizes([1, 2, 3], [2, 4, 3], { level })).toThrow(CannotEstimate)
      expect(() => wilsonInterval(1, 3, { level })).toThrow(CannotEstimate)
      expect(() => poissonRate(1, 3, { level })).toThrow(CannotEstimate)
      expect(() => binomialFunnelLimits(10, 0.5, level)).toThrow(CannotEstimate)
      expect(() =>
        kappa(
          [
            [1, 2],
            [0, 3],
          ],
          'linear',
          { level },
        ),
      ).toThrow(CannotEstimate)
    }
  })
})

const score = fc.option(fc.integer({ min: 0, max: 4 }), { nil: null, freq: 8 })
const scores = fc.array(fc.tuple(score, score), { maxLength: 14 })

suite('on any scores', () => {
  it('no estimator of pairs or groups gives NaN or fails otherwise than by saying what it needs', () => {
    fc.assert(
      fc.property(scores, (pairs) => {
        const [x, y] = [pairs.map((p) => p[0]), pairs.map((p) => p[1])]
        for (const [name, estimate] of Object.entries({ ...PAIRED, ...GROUPED }))
          expect(notANumber(tried(() => estimate(x, y))), name).toEqual([])
        for (const [name, estimate] of Object.entries(SINGLE))
          expect(notANumber(tried(() => estimate(x))), name).toEqual([])
      }),
      { numRuns: 150, seed: 1 },
    )
  })

  it('no agreement figure gives NaN', () => {
    const table = fc.array(fc.array(score, { minLength: 3, maxLength: 3 }), { maxLength: 10 })
    fc.assert(
      fc.property(table, (ratings) => {
        expect(notANumber(tried(() => intraclassCorrelations(ratings)))).toEqual([])
        expect(notANumber(tried(() => measurementError(ratings)))).toEqual([])
      }),
      { numRuns: 300, seed: 2 },
    )
    const counts = fc.array(fc.array(fc.integer({ min: 0, max: 3 }), { minLength: 3, maxLength: 3 }), {
      minLength: 3,
      maxLength: 3,
    })
    fc.assert(
      fc.property(counts, (cells) => {
        for (const weights of ['unweighted', 'linear', 'quadratic'] as const)
          expect(notANumber(tried(() => kappa(cells, weights)))).toEqual([])
      }),
      { numRuns: 300, seed: 3 },
    )
  })

  it('no figure of counts gives NaN, and an interval holds its estimate', () => {
    const count = fc.integer({ min: 0, max: 12 })
    fc.assert(
      fc.property(count, count, count, count, (a, b, c, d) => {
        expect(
          notANumber(
            tried(() =>
              mcNemarTest([
                [a, b],
                [c, d],
              ]),
            ),
          ),
        ).toEqual([])
        expect(notANumber(tried(() => twoByTwo({ events: a, n: a + b }, { events: c, n: c + d })))).toEqual(
          [],
        )
        const ratio = tried(() =>
          poissonRateRatio({ events: a, exposure: b + 1 }, { events: c, exposure: d + 1 }),
        )
        expect(notANumber(ratio)).toEqual([])
        for (const share of [wilsonInterval(a, a + b + 1), clopperPearsonInterval(a, a + b + 1)]) {
          expect(share.interval.lower).toBeLessThanOrEqual(share.estimate)
          expect(share.interval.upper).toBeGreaterThanOrEqual(share.estimate)
        }
        const rate = poissonRate(a, b + 1)
        expect(rate.interval.lower).toBeLessThanOrEqual(rate.estimate)
        expect(rate.interval.upper).toBeGreaterThan(rate.estimate)
        expect(notANumber(binomialFunnelLimits(a + 1, b / 12, 0.998))).toEqual([])
      }),
      { numRuns: 500, seed: 4 },
    )
  })

  it('the order of pairs changes nothing', () => {
    fc.assert(
      fc.property(scores, (pairs) => {
        const [x, y] = [pairs.map((p) => p[0]), pairs.map((p) => p[1])]
        for (const [name, estimate] of Object.entries({ ...PAIRED, ...GROUPED })) {
          if (name === 'reliableChangeTable') continue // It lists the pairs in their order.
          const there = [...numbersOf(tried(() => estimate(x, y)))]
          const back = [...numbersOf(tried(() => estimate(x.toReversed(), y.toReversed())))]
          expect(back.map(([at]) => at)).toEqual(there.map(([at]) => at))
          for (const [i, [at, value]] of there.entries())
            if (back[i]![1] !== value)
              expect(Math.abs(back[i]![1] - value), `${name}${at}`).toBeLessThan(
                1e-9 * Math.max(1, Math.abs(value)),
              )
        }
      }),
      { numRuns: 40, seed: 5 },
    )
  })
})

suite('shift and scale', () => {
  const x = [3.1, 2.2, 4.7, 4.1, 1.9, 3.3, 2.8]
  const y = [2.4, 2.9, 2.1, 3.8, 1.2, 1.1, 2.7]
  const moved = (values: number[], by: number, times: number) => values.map((v) => times * v + by)

  it('leave standardised effects, ranks and correlations as they are', () => {
    const there = pairedEffectSizes(x, y)
    const here = pairedEffectSizes(moved(x, 100, 8), moved(y, 100, 8))
    expect(here.hedgesG).toBeCloseTo(there.hedgesG!, 10)
    expect(here.hedgesGInterval.lower).toBeCloseTo(there.hedgesGInterval.lower!, 9)
    expect(here.dAv).toBeCloseTo(there.dAv!, 10)
    expect(cliffsDelta(moved(x, 100, 8), moved(y, 100, 8)).interval).toEqual(cliffsDelta(x, y).interval)
    expect(wilcoxonSignedRank(moved(x, 100, 8), moved(y, 100, 8)).pTwoSidedExact).toBe(
      wilcoxonSignedRank(x, y).pTwoSidedExact,
    )
    const icc = (a: number[], b: number[]) => intraclassCorrelations(a.map((v, i) => [v, b[i]!])).icc21
    expect(icc(moved(x, 100, 8), moved(y, 100, 8)).estimate).toBeCloseTo(icc(x, y).estimate!, 10)
  })

  it('scale what is in the units of the scores, and no more', () => {
    expect(pairedTTest(moved(x, 5, 2), moved(y, 5, 2)).meanChange).toBeCloseTo(
      2 * pairedTTest(x, y).meanChange,
      12,
    )
    expect(hodgesLehmann(moved(x, 5, 2), moved(y, 5, 2)).estimate).toBeCloseTo(
      2 * hodgesLehmann(x, y).estimate,
      12,
    )
    expect(blandAltman(moved(x, 5, 2), moved(y, 5, 2)).upperLimit).toBeCloseTo(
      2 * blandAltman(x, y).upperLimit,
      12,
    )
    expect(individualsChart(moved(x, 5, 2)).limits.upper).toBeCloseTo(
      2 * individualsChart(x).limits.upper + 5,
      12,
    )
  })

  it('turning before and after round turns every sign', () => {
    const [there, back] = [pairedEffectSizes(x, y), pairedEffectSizes(y, x)]
    expect(back.hedgesG).toBeCloseTo(-there.hedgesG!, 12)
    expect(back.hedgesGInterval.lower).toBeCloseTo(-there.hedgesGInterval.upper!, 9)
    expect(matchedPairsRankBiserial(y, x).estimate).toBe(-matchedPairsRankBiserial(x, y).estimate)
    expect(cliffsDelta(y, x).estimate).toBe(-cliffsDelta(x, y).estimate)
    expect(signTest(y, x).pTwoSided).toBe(signTest(x, y).pTwoSided)
  })
})

suite('extreme evidence', () => {
  it('keeps the digits of a p-value far below what 1 − cdf could hold', () => {
    const before = Array.from({ length: 60 }, (_, i) => i % 5)
    const after = before.map((b, i) => b + 10 + 0.01 * (i % 3))
    const p = pairedTTest(before, after).pTwoSided!
    expect(p).toBeGreaterThan(0)
    expect(p).toBeLessThan(1e-150)
    // All 60 go up: 2 of the 2^60 ways to sign them are as extreme.
    expect(wilcoxonSignedRank(before, after).pTwoSidedExact! / 2 ** -59).toBeCloseTo(1, 10)
    expect(signTest(before, after).pTwoSided / 2 ** -59).toBeCloseTo(1, 10)
  })

  it('selects beyond a cut-off 50 standard deviations out without dividing nothing by nothing', () => {
    const far = regressionToTheMean({ mean: 0, sd: 1, correlation: 0.5, cutoff: 50, selected: 'above' })
    // Mills: the mean beyond z is z + 1/z − 2/z³ + …
    expect(far.meanSelected).toBeCloseTo(50 + 1 / 50 - 2 / 50 ** 3, 6)
  })

  it('cut-offs need a functional group only for b and c; coverage needs a day and a prescription', () => {
    expect(clinicalCutoffs({ mean: 3, sd: 1 }, null, { higherIsBetter: false })).toMatchObject({
      a: 1,
      b: null,
      c: null,
    })
    expect(() => dailyCoverage([], 1)).toThrow(CannotEstimate)
    expect(() => dailyCoverage([1], 0)).toThrow(CannotEstimate)
  })
})
