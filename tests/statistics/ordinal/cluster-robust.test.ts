import { describe, expect, it } from 'vitest'
import { cumulativeLinkMixedModel } from '../../../src/statistics/index.ts'
import { gaussHermite } from '../../../src/statistics/ordinal/gauss-hermite.ts'
import { LINKS } from '../../../src/statistics/ordinal/links.ts'
import { clusterScores, marginalLikelihood } from '../../../src/statistics/ordinal/marginal-likelihood.ts'
import { ordinalRows } from '../../../src/statistics/ordinal/ordinal-data.ts'
import { thresholdMap } from '../../../src/statistics/ordinal/thresholds.ts'

/** Six clusters of four rows, x 0 0 1 1, balanced so that no spread between clusters is left: logistic regression. */
const balanced = {
  category: [0, 1, 1, 1, 1, 0, 0, 1, 0, 0, 1, 1, 0, 1, 1, 0, 0, 0, 1, 1, 1, 0, 1, 0],
  fixed: { x: Array.from({ length: 24 }, (_, i) => (i % 4 < 2 ? 0 : 1)) },
  groups: Array.from({ length: 24 }, (_, i) => Math.floor(i / 4)),
}

describe('the cluster-robust covariance', () => {
  it('is Liang and Zeger’s sandwich: sandwich::vcovCL(glm(y ~ x, binomial), cluster, type = "HC0") in R 4.2.2, m / (m - 1) with it', () => {
    const fit = cumulativeLinkMixedModel({ ...balanced, clusters: balanced.groups }, { nodes: 9 })
    expect(fit.randomSd).toBeLessThan(0.01)
    expect(fit.coefficients[0]!.estimate).toBeCloseTo(1.79175946922, 5)
    expect(fit.coefficients[0]!.se! ** 2).toBeCloseTo(0.819443541109, 4)
    expect(fit.robust!.covariance[0]).toBeCloseTo(0.980555555554, 4)
    expect(fit.robust!.nClusters).toBe(6)
  })

  it('is absent without clusters', () => {
    expect(cumulativeLinkMixedModel(balanced).robust).toBeNull()
  })

  it('refuses one cluster, a group in two and a group in none', () => {
    const of = (clusters: (string | null)[]) => () => cumulativeLinkMixedModel({ ...balanced, clusters })
    expect(of(balanced.groups.map(() => 'a'))).toThrow(/two clusters; found 1/)
    expect(of(balanced.groups.map((g, i) => (i === 1 ? 'other' : String(g))))).toThrow(
      /each group in one cluster; found group 0 in two/,
    )
    expect(of(balanced.groups.map((g) => (g === 2 ? null : 'ab'[g % 2]!)))).toThrow(
      /a cluster for every group; found none for 2/,
    )
  })
})

describe('scores by cluster', () => {
  const rows = ordinalRows('test', balanced, balanced.groups, undefined)
  const model = {
    rows,
    link: LINKS.logit,
    thresholds: thresholdMap('flexible', 1),
    quadrature: gaussHermite(25),
  }
  const x = Float64Array.of(0.4, -0.7, 1.3)

  it('add up to the derivatives of the log likelihood, each cluster’s those of its own rows', () => {
    const clusterOf = [0, 1, 0, 1, 2, 2]
    const scores = clusterScores(model, x, clusterOf, 3)
    const value = (at: Float64Array, cluster: number) => {
      const own = balanced.groups.map((g) => clusterOf[g] === cluster)
      const pick = <T>(xs: readonly T[]) => xs.filter((_, i) => own[i])
      const part = ordinalRows(
        'test',
        { category: pick(balanced.category), fixed: { x: pick(balanced.fixed.x) } },
        pick(balanced.groups),
        [0, 1],
      )
      return -marginalLikelihood({ ...model, rows: part }, at).value
    }
    for (let c = 0; c < 3; c++)
      for (let j = 0; j < 3; j++) {
        const moved = (by: number) => x.map((component, i) => (i === j ? component + by : component))
        const slope = (value(moved(1e-5), c) - value(moved(-1e-5), c)) / 2e-5
        expect(scores[c * 3 + j]).toBeCloseTo(slope, 6)
      }
  })

  it('hold in the far tails, where probabilities are nearly 0 or 1', () => {
    // log logistic(-60) = -60 - log(1 + e^-60), once for each of two rows.
    const far = ordinalRows('test', { category: [0, 2], fixed: { x: [1, 1] } }, null, [0, 1, 2])
    const plain = { rows: { ...far, levels: [0, 1, 2], category: Int32Array.of(0, 2) }, link: LINKS.logit }
    const { value, gradient } = marginalLikelihood(
      { ...plain, thresholds: thresholdMap('flexible', 2), quadrature: null },
      Float64Array.of(-60, 60, 0),
    )
    expect(value).toBeCloseTo(120, 9)
    expect(gradient.every(Number.isFinite)).toBe(true)
  })
})
