import { describe, expect, it } from 'vitest'
import { randomInterceptModel } from '../../src/statistics/random-intercept-model.ts'
import { CannotEstimate } from '../../src/statistics/shared.ts'

/** Dyestuff and Dyestuff2 (Davies and Goldsmith 1972; Box and Tiao 1973), as in lme4: six batches of five. */
const DYESTUFF = [
  1545, 1440, 1440, 1520, 1580, 1540, 1555, 1490, 1560, 1495, 1595, 1550, 1605, 1510, 1560, 1445, 1440, 1595,
  1465, 1545, 1595, 1630, 1515, 1635, 1625, 1520, 1455, 1450, 1480, 1445,
]
const DYESTUFF2 = [
  7.298, 3.846, 2.434, 9.566, 7.99, 5.22, 6.556, 0.608, 11.788, -0.892, 0.11, 10.386, 13.434, 5.51, 8.166,
  2.212, 4.852, 7.092, 9.288, 4.98, 0.282, 9.014, 4.458, 9.446, 7.198, 1.722, 4.782, 8.106, 0.758, 3.758,
]
const batch = DYESTUFF.map((_, i) => 'ABCDEF'[Math.floor(i / 5)]!)
const ones = DYESTUFF.map(() => [1])

describe('the mixed model with one random intercept', () => {
  it('agrees with lme4 1.1.31 on Dyestuff', () => {
    const fit = randomInterceptModel(ones, DYESTUFF, batch)
    expect(fit.remlCriterion).toBeCloseTo(319.654276842, 6)
    expect(fit.clusterVariance / 1764.049949).toBeCloseTo(1, 4)
    expect(fit.residualVariance / 2451.250011).toBeCloseTo(1, 4)
    expect(fit.coefficients[0]).toBeCloseTo(1527.5, 8)
    expect(fit.modelCovariance[0]! / 375.716658578).toBeCloseTo(1, 4)
    // Balanced, so leaving out a batch at a time gives the variance of the six batch means over six: here the same.
    expect(fit.jackknifeCovariance![0]! / 375.716666667).toBeCloseTo(1, 4)
    expect(fit).toMatchObject({ singular: false, n: 30, nClusters: 6 })
    expect(fit.converged).toBe(true)
  })

  it('reports a variance of nil as data on Dyestuff2', () => {
    const fit = randomInterceptModel(ones, DYESTUFF2, batch)
    expect(fit.singular).toBe(true)
    expect(fit.clusterVariance).toBeLessThan(1e-5)
    expect(fit.residualVariance).toBeCloseTo(13.80630963, 5)
    expect(fit.remlCriterion).toBeCloseTo(161.828277812, 6)
    expect(fit.modelCovariance[0]).toBeCloseTo(0.46021032092, 5)
  })

  it('refuses no rows, one cluster, no spread and a design not of full rank', () => {
    expect(() => randomInterceptModel([], [], [])).toThrow(CannotEstimate)
    expect(() => randomInterceptModel([[1], [1]], [1, 2], ['a', 'a'])).toThrow(/two clusters/)
    expect(() => randomInterceptModel([[1], [1], [1]], [2, 2, 2], ['a', 'b', 'c'])).toThrow(/residual spread/)
    expect(() =>
      randomInterceptModel(
        DYESTUFF.map(() => [1, 1]),
        DYESTUFF,
        batch,
      ),
    ).toThrow(/not collinear/)
  })
})
