import { describe, expect, it } from 'vitest'
import { gammaCdf, gammaQuantile } from '../../src/statistics/gamma-quantile.ts'
import { poissonRate } from '../../src/statistics/poisson-rate.ts'
import { CannotEstimate } from '../../src/statistics/shared.ts'

// R 4.2.2: qgamma(p, shape), options(digits = 15).
const QUANTILES = [
  [0.025, 1, 0.0253178079842899],
  [0.975, 5, 10.2415886754037],
  [0.9, 1000, 1040.73430801369],
  [0.5, 5000, 4999.66667061757],
  [0.95, 1000, 1052.57711808232],
  [0.999999, 1e6, 1004760.62471347],
] as const

describe('gamma distribution', () => {
  it.each(QUANTILES)('quantile at %f of shape %f', (p, shape, expected) => {
    expect(Math.abs(gammaQuantile(p, shape) / expected - 1)).toBeLessThan(1e-13)
    expect(gammaCdf(gammaQuantile(p, shape), shape)).toBeCloseTo(p, 11)
  })

  it('tails by hand: shape 1 is exponential, shape 2 adds one term', () => {
    for (const x of [0.001, 0.5, 1.9, 2.1, 30, 700]) {
      expect(gammaCdf(x, 1, { upper: true }) / Math.exp(-x)).toBeCloseTo(1, 12)
      expect(gammaCdf(x, 2, { upper: true }) / (Math.exp(-x) * (1 + x))).toBeCloseTo(1, 12)
      expect(gammaCdf(x, 1) / -Math.expm1(-x)).toBeCloseTo(1, 12)
    }
  })

  it('agrees with the Poisson sum: P(X > x) of shape k is the chance of fewer than k events', () => {
    // mpmath 1.3: gammainc(5000, 5000, inf, regularized=True)
    expect(gammaCdf(5000, 5000, { upper: true })).toBeCloseTo(0.498119365966184, 12)
  })

  it('ends and refusals', () => {
    expect([gammaCdf(0, 3), gammaCdf(Infinity, 3), gammaCdf(-1, 3, { upper: true })]).toEqual([0, 1, 1])
    expect(() => gammaCdf(1, 0)).toThrow(CannotEstimate)
    for (const p of [0, 1, Number.NaN]) expect(() => gammaQuantile(p, 1)).toThrow(CannotEstimate)
  })
})

describe('the rate of many events', () => {
  it('has the limits of R: poisson.test(5000, 365.25)', () => {
    const { interval } = poissonRate(5000, 365.25)
    expect(interval.upper).toBeCloseTo(14.0740559850377, 10)
  })

  it('refuses what is no count and no exposure', () => {
    for (const [events, exposure] of [
      [-1, 1],
      [1.5, 1],
      [Number.NaN, 1],
      [1, 0],
      [1, Infinity],
    ] as const)
      expect(() => poissonRate(events, exposure)).toThrow(CannotEstimate)
  })
})
