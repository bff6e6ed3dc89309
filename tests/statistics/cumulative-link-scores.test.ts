import { describe, expect, it } from 'vitest'
import {
  type CumulativeLinkPoint,
  cumulativeLinkScores,
} from '../../src/statistics/cumulative-link-scores.ts'
import { CannotEstimate } from '../../src/statistics/shared.ts'
import { wine } from './wine.ts'

/** ordinal 2022.11-16, R 4.2.2: clmm(rating ~ temp + contact + (1 | judge), nAGQ = 9). */
const mixed: CumulativeLinkPoint = {
  thresholds: [-1.62348745869729, 1.5127960304861, 4.22705344107382, 6.08615225724969],
  coefficients: [3.06189098367471, 1.83343335258861],
  standardDeviation: 1.13478328138137,
}
/** clm(rating ~ temp + contact). */
const fixed: CumulativeLinkPoint = {
  thresholds: [-1.34438341126472, 1.25080879841654, 3.46688692647397, 5.00640420426996],
  coefficients: [2.50310200789893, 1.52779765809506],
  standardDeviation: 0,
}

const totals = (scores: Float64Array, q: number): number[] =>
  Array.from({ length: q }, (_, j) => scores.reduce((sum, s, k) => (k % q === j ? sum + s : sum), 0))

const moved = (point: CumulativeLinkPoint, j: number, by: number): CumulativeLinkPoint => {
  const all = [...point.thresholds, ...point.coefficients, point.standardDeviation]
  all[j]! += by
  return { thresholds: all.slice(0, 4), coefficients: all.slice(4, 6), standardDeviation: all[6]! }
}

describe('cumulative-link scores', () => {
  it('give R’s log-likelihood and a gradient of zero at R’s estimates', () => {
    const random = cumulativeLinkScores(wine, mixed)
    expect(random.logLikelihood).toBeCloseTo(-81.5324607267798, 5)
    for (const total of totals(random.scores, random.q)) expect(Math.abs(total)).toBeLessThan(0.01)
    const plain = cumulativeLinkScores(wine, fixed)
    expect(plain.logLikelihood).toBeCloseTo(-86.4919233656491, 9)
    expect(plain.q).toBe(6)
    for (const total of totals(plain.scores, plain.q)) expect(Math.abs(total)).toBeLessThan(1e-5)
  })

  it('are the derivatives of the log-likelihood, away from its maximum too', () => {
    const away = moved(moved(mixed, 4, -1), 6, 0.5)
    const { scores, q } = cumulativeLinkScores(wine, away)
    totals(scores, q).forEach((total, j) => {
      const h = 1e-5
      const up = cumulativeLinkScores(wine, moved(away, j, h)).logLikelihood
      const down = cumulativeLinkScores(wine, moved(away, j, -h)).logLikelihood
      expect(total).toBeCloseTo((up - down) / (2 * h), 2)
    })
  })

  it('hold in the far tails, where probabilities are nearly 0 or 1', () => {
    const { logLikelihood, scores } = cumulativeLinkScores(
      {
        category: [0, 2],
        design: Float64Array.of(1, 1),
        groupStart: [0, 1, 2],
        clusterOf: [0, 1],
        nClusters: 2,
      },
      { thresholds: [-60, 60], coefficients: [0], standardDeviation: 0 },
    )
    // log logistic(-60) = -60 - log(1 + e^-60)
    expect(logLikelihood).toBeCloseTo(-120, 9)
    expect(scores.every(Number.isFinite)).toBe(true)
  })

  it('refuse thresholds out of order and categories without one', () => {
    expect(() => cumulativeLinkScores(wine, { ...fixed, thresholds: [1, 0, 2, 3] })).toThrow(CannotEstimate)
    expect(() => cumulativeLinkScores(wine, { ...fixed, thresholds: [0, 1] })).toThrow(
      /categories from 0 to 2/,
    )
  })
})
