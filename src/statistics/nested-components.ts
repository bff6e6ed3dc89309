import { linearMixedModel } from './mixed/linear-mixed-model.ts'
import { INTERCEPT } from './mixed/mixed-data.ts'
import type { LinearMixedModel } from './mixed/mixed-report.ts'
import type { InterceptSlope, NestedComponents, NestedRows } from './nested-least-squares.ts'

export interface NestedComponentsFit {
  readonly method: 'restricted maximum likelihood'
  readonly components: NestedComponents
  /** -2 log REML with all constants. */
  readonly remlCriterion: number
  /** True where a variance is zero or a correlation is -1 or 1 at the estimate: the data hold no more. */
  readonly singular: boolean
  readonly converged: boolean
  readonly n: number
  readonly nSeries: number
  readonly nClusters: number
}

const TIME = 'time of the random slopes'

/**
 * REML variance components of y = X b + (c0 + s0) + (c1 + s1) time + e, series nested in clusters, each level's intercept and
 * slope freely correlated: {@link linearMixedModel} with its design by rows.
 *
 * Missing values have no place here: leave such rows out before.
 *
 * @throws CannotEstimate where there are no more rows than coefficients, fewer than two series or clusters, no residual spread,
 * or the design is not of full rank.
 */
export function nestedComponents(rows: NestedRows): NestedComponentsFit {
  const fit = linearMixedModel(
    {
      y: rows.y,
      fixed: designColumns(rows.design),
      randomOnly: { [TIME]: rows.time },
      groups: rows.series,
      outerGroups: rows.cluster,
    },
    {
      intercept: false,
      random: [INTERCEPT, TIME],
      outerRandom: [INTERCEPT, TIME],
      interval: 'wald',
    },
  )
  return {
    method: 'restricted maximum likelihood',
    components: {
      cluster: interceptSlope(fit, 1),
      series: interceptSlope(fit, 0),
      residual: fit.residualSd ** 2,
    },
    remlCriterion: fit.deviance,
    singular: fit.singular,
    converged: fit.converged,
    n: fit.nObservations,
    nSeries: fit.nGroups,
    nClusters: fit.nOuterGroups!,
  }
}

/** A design of n rows and p columns as the named columns of {@link linearMixedModel}. */
export function designColumns(design: readonly (readonly number[])[]): Record<string, Float64Array> {
  const names = (design[0] ?? []).map((_, j) => `column ${j + 1}`)
  return Object.fromEntries(names.map((name, j) => [name, Float64Array.from(design, (row) => row[j]!)]))
}

function interceptSlope(fit: LinearMixedModel, level: number): InterceptSlope {
  const [[intercept, covariance], [, slope]] = fit.random[level]!.covariance as [
    [number, number],
    [number, number],
  ]
  return { intercept, covariance, slope }
}
