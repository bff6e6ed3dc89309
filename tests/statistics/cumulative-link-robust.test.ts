import { describe, expect, it } from 'vitest'
import { cumulativeLinkRobust } from '../../src/statistics/cumulative-link-robust.ts'
import { wine } from './wine.ts'

describe('the cumulative-link mixed model with a cluster-robust covariance', () => {
  it('agrees with R’s ordinal 2022.11-16 on the wine data: clmm(rating ~ temp + contact + (1 | judge), nAGQ = 9)', () => {
    const fit = cumulativeLinkRobust(wine, 5)
    expect(fit.record.converged).toBe(true)
    expect(fit.logLikelihood).toBeCloseTo(-81.5324607, 4)
    for (const [k, t] of [-1.623487, 1.512796, 4.227053, 6.086152].entries())
      expect(fit.thresholds[k]).toBeCloseTo(t, 2)
    expect(fit.coefficients[0]).toBeCloseTo(3.061891, 2)
    expect(fit.coefficients[1]).toBeCloseTo(1.833433, 2)
    expect(fit.standardDeviation).toBeCloseTo(1.134783, 2)
  })

  it('has Liang and Zeger’s sandwich: sandwich::vcovCL(glm(y ~ x, binomial), cluster, type = "HC0") in R 4.2.2, m / (m - 1) with it', () => {
    // Six clusters of four rows, x 0 0 1 1, balanced so that no spread between clusters is left: logistic regression.
    const rows = {
      category: [0, 1, 1, 1, 1, 0, 0, 1, 0, 0, 1, 1, 0, 1, 1, 0, 0, 0, 1, 1, 1, 0, 1, 0],
      design: Float64Array.from({ length: 24 }, (_, i) => (i % 4 < 2 ? 0 : 1)),
      groupStart: [0, 4, 8, 12, 16, 20, 24],
      clusterOf: [0, 1, 2, 3, 4, 5],
      nClusters: 6,
    }
    const fit = cumulativeLinkRobust(rows, 2)
    expect(fit.standardDeviation).toBeLessThan(0.01)
    expect(fit.coefficients[0]).toBeCloseTo(1.79175946922, 3)
    expect(fit.modelCovariance[0]).toBeCloseTo(0.819443541109, 2)
    expect(fit.robustCovariance[0]).toBeCloseTo(0.980555555554, 2)
  })

  it('refuses a category that nobody used and a column that does not vary', () => {
    expect(() => cumulativeLinkRobust(wine, 6)).toThrow(/each in use/)
    expect(() => cumulativeLinkRobust({ ...wine, design: new Float64Array(144) }, 5)).toThrow(
      /columns that vary/,
    )
  })
})
