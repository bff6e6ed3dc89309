import { linearMixedModel } from './mixed/linear-mixed-model.ts'
import { designColumns } from './nested-components.ts'
import { nestedLeastSquares } from './nested-least-squares.ts'
import { CannotEstimate } from './shared.ts'

export interface RandomInterceptModel {
  readonly method: 'linear mixed model with one random intercept, restricted maximum likelihood'
  readonly coefficients: readonly number[]
  /** Covariance of the coefficients if the model holds, p x p by rows. */
  readonly modelCovariance: Float64Array
  /** Covariance by leaving out one cluster at a time; null where one cluster alone determines a coefficient. */
  readonly jackknifeCovariance: Float64Array | null
  readonly clusterVariance: number
  readonly residualVariance: number
  readonly remlCriterion: number
  /** True where the cluster variance is 0 at the estimate. */
  readonly singular: boolean
  readonly converged: boolean
  readonly n: number
  readonly nClusters: number
}

const NONE = { intercept: 0, slope: 0, covariance: 0 }

/**
 * Linear mixed model y = X b + u + e with one random intercept u per cluster, by REML ({@link linearMixedModel}), with the
 * covariance of b by leaving out one cluster at a time beside the model's own.
 *
 * Missing values have no place here: leave such rows out before.
 *
 * Source: Laird and Ware (1982) Biometrics 38:963-974.
 *
 * @throws CannotEstimate where there are no more rows than coefficients, fewer than 2 clusters, no residual spread, or a design not of full rank.
 */
export function randomInterceptModel(
  design: readonly (readonly number[])[],
  y: readonly number[],
  cluster: readonly string[],
): RandomInterceptModel {
  const clusters = new Set(cluster).size
  if (clusters < 2) throw new CannotEstimate('randomInterceptModel', 'two clusters', String(clusters))
  const fit = linearMixedModel(
    { y, fixed: designColumns(design), groups: cluster },
    { intercept: false, interval: 'wald' },
  )
  const clusterVariance = fit.random[0]!.covariance[0]![0]!
  const residualVariance = fit.residualSd ** 2
  const time = y.map(() => 0)
  const solved = nestedLeastSquares(
    { design, y, time, series: cluster, cluster },
    { cluster: { ...NONE, intercept: clusterVariance }, series: NONE, residual: residualVariance },
    { predictions: false },
  )
  return {
    method: 'linear mixed model with one random intercept, restricted maximum likelihood',
    coefficients: solved.coefficients,
    modelCovariance: solved.modelCovariance,
    jackknifeCovariance: solved.jackknifeCovariance,
    clusterVariance,
    residualVariance,
    remlCriterion: fit.deviance,
    singular: fit.singular,
    converged: fit.converged,
    n: fit.nObservations,
    nClusters: fit.nGroups,
  }
}
