import { describe, expect, it } from 'vitest'
import { clusterJackknife, invert, multiply } from '../../src/statistics/cluster-jackknife.ts'
import { clusterSums } from '../../src/statistics/cluster-sums.ts'
import { CannotEstimate } from '../../src/statistics/shared.ts'

/** Two coefficients, four clusters of unlike size; working covariance compound symmetric: 1 on the diagonal, 0.5 beside it. */
const CLUSTERS = [
  { x: [0, 1, 2], y: [1, 2.5, 2] },
  { x: [0, 3], y: [0.5, 4] },
  { x: [1, 2, 4, 5], y: [2, 2, 5.5, 7] },
  { x: [2], y: [1] },
]

const covariance = (n: number) =>
  Float64Array.from({ length: n * n }, (_, k) => (k % (n + 1) === 0 ? 1 : 0.5))
const sumsAt = (beta: readonly number[], which: readonly number[]) =>
  which.map((c) => {
    const { x, y } = CLUSTERS[c]!
    const residual = y.map((value, i) => value - beta[0]! - beta[1]! * x[i]!)
    return clusterSums(
      x.map((value) => [1, value]),
      residual,
      covariance(x.length),
    )
  })

/** Coefficients of a fit to some clusters: from beta = 0 the step A^-1 s is the estimate. */
function coefficients(which: readonly number[]): Float64Array {
  const information = new Float64Array(4)
  const score = new Float64Array(2)
  for (const sums of sumsAt([0, 0], which)) {
    for (let i = 0; i < 4; i++) information[i]! += sums.information[i]!
    for (let i = 0; i < 2; i++) score[i]! += sums.score[i]!
  }
  return multiply(invert(information, 2)!, score, 2)
}

describe('the leave-one-cluster-out jackknife', () => {
  it('is the spread of the coefficients over fits that leave out one cluster, each done anew', () => {
    const all = [0, 1, 2, 3]
    const beta = coefficients(all)
    const { covariance: found, nClusters } = clusterJackknife(sumsAt([...beta], all))
    const expected = [0, 0, 0, 0]
    for (const out of all) {
      const moved = coefficients(all.filter((c) => c !== out))
      const d = [moved[0]! - beta[0]!, moved[1]! - beta[1]!]
      for (let i = 0; i < 2; i++) for (let j = 0; j < 2; j++) expected[i * 2 + j]! += (3 / 4) * d[i]! * d[j]!
    }
    expect(nClusters).toBe(4)
    for (let i = 0; i < 4; i++) expect(found[i]).toBeCloseTo(expected[i]!, 12)
  })

  it('with one row a cluster and only a mean is the variance of the mean: s^2 / n', () => {
    const values = [1, 2, 4, 9]
    const { covariance: found } = clusterJackknife(
      values.map((y) => clusterSums([[1]], [y - 4], Float64Array.of(1))),
    )
    // Mean 4; squares 9 + 4 + 0 + 25 = 38; s^2 = 38 / 3; s^2 / 4 = 3.1667
    expect(found[0]).toBeCloseTo(38 / 12, 12)
  })

  it('refuses one cluster, and a coefficient that one cluster alone determines', () => {
    const one = clusterSums([[1]], [0], Float64Array.of(1))
    expect(() => clusterJackknife([one])).toThrow(CannotEstimate)
    const only = [
      clusterSums([[1, 1]], [0], Float64Array.of(1)),
      clusterSums([[1, 0]], [0], Float64Array.of(1)),
      clusterSums([[1, 0]], [0], Float64Array.of(1)),
    ]
    expect(() => clusterJackknife(only)).toThrow(/no one cluster alone determines/)
    expect(() => clusterSums([[1], [1]], [0, 0], Float64Array.of(1, 1, 1, 1))).toThrow(CannotEstimate)
  })
})
