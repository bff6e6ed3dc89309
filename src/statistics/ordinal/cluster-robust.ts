import { sandwich } from '../mixed/dense-matrix.ts'
import { CannotEstimate } from '../shared.ts'
import type { GaussHermite } from './gauss-hermite.ts'
import { clusterScores, type OrdinalModel } from './marginal-likelihood.ts'
import type { Category } from './ordinal-data.ts'
import type { OrdinalMaximum } from './ordinal-maximum.ts'

export interface ClusterRobust {
  /** Covariance of the coefficients whatever ties the rows of a cluster together, p x p by rows. */
  readonly covariance: Float64Array
  readonly nClusters: number
}

/**
 * Sandwich covariance of the coefficients, summed by cluster: A^-1 B A^-1 · m / (m - 1), A the observed information, B the sum over the
 * m clusters of squared scores.
 *
 * Why beside the model's own: with series whose slopes differ, one random intercept leaves intervals of a slope far too short.
 *
 * Source: Liang and Zeger (1986) Biometrika 73:13-22.
 *
 * @throws CannotEstimate with fewer than two clusters, a group in two of them or none, or coefficients that the rows do not determine
 */
export function clusterRobust(
  name: string,
  model: OrdinalModel & { readonly quadrature: GaussHermite },
  maximum: OrdinalMaximum,
  groups: ArrayLike<Category>,
  clusters: ArrayLike<Category>,
): ClusterRobust {
  const { clusterOf, nClusters } = clustersOfGroups(name, model.rows.labels, groups, clusters)
  if (nClusters < 2) throw new CannotEstimate(name, 'two clusters', String(nClusters))
  if (maximum.covariance === null)
    throw new CannotEstimate(name, 'coefficients that the rows determine', 'a singular information')
  const k = maximum.x.length
  const scores = clusterScores(model, maximum.x, clusterOf, nClusters)
  const meat = new Float64Array(k * k)
  for (let c = 0; c < nClusters; c++)
    for (let a = 0; a < k; a++)
      for (let b = 0; b < k; b++) meat[a * k + b]! += scores[c * k + a]! * scores[c * k + b]!
  const whole = sandwich(maximum.covariance, meat, k)
  const from = model.thresholds.names.length
  const p = model.rows.names.length
  const correction = nClusters / (nClusters - 1)
  return {
    covariance: Float64Array.from(
      { length: p * p },
      (_, i) => whole[(from + Math.floor(i / p)) * k + from + (i % p)]! * correction,
    ),
    nClusters,
  }
}

function clustersOfGroups(
  name: string,
  labels: readonly (number | string)[],
  groups: ArrayLike<Category>,
  clusters: ArrayLike<Category>,
) {
  const clusterOfLabel = new Map<Category, Category>()
  for (let i = 0; i < groups.length; i++) {
    const known = clusterOfLabel.get(groups[i])
    if (known !== undefined && known !== clusters[i])
      throw new CannotEstimate(name, 'each group in one cluster', `group ${groups[i]} in two`)
    clusterOfLabel.set(groups[i], clusters[i])
  }
  const codes = new Map<Category, number>()
  const clusterOf = labels.map((label) => {
    const cluster = clusterOfLabel.get(label)
    if (cluster === undefined || cluster === null || cluster === '')
      throw new CannotEstimate(name, 'a cluster for every group', `none for ${label}`)
    const code = codes.get(cluster) ?? codes.size
    codes.set(cluster, code)
    return code
  })
  return { clusterOf, nClusters: codes.size }
}
