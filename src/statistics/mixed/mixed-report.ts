import normal from '@stdlib/stats-base-dists-normal'
import tDistribution from '@stdlib/stats-base-dists-t'
import type { Interval } from '../shared.ts'
import { type LevelShape, parametersOf } from './covariance-parameters.ts'
import { product, sandwich, toRows } from './dense-matrix.ts'
import { type GroupEffects, groupEffects, type Unscale, unscaled } from './group-effects.ts'
import type { MixedModelOptimiser } from './maximise-likelihood.ts'
import { INTERCEPT } from './mixed-data.ts'
import { profileIntervals } from './profile-interval.ts'
import type { LevelProducts, Relative } from './profiled-deviance.ts'
import { satterthwaiteDegrees } from './satterthwaite.ts'
import type { Maximised } from './search-maximum.ts'

export interface FixedEffect {
  readonly name: string
  readonly estimate: number
  readonly se: number
  readonly interval: Interval
  /** Satterthwaite's degrees of freedom. */
  readonly df: number
  readonly t: number
  /** Two-sided, from t on df. */
  readonly p: number
}

/** Random effects of one level of grouping. */
export interface RandomLevel {
  readonly grouping: 'groups' | 'outerGroups'
  readonly nGroups: number
  readonly columns: readonly string[]
  readonly sd: readonly number[]
  readonly covariance: readonly (readonly number[])[]
  /** Null with one column, uncorrelated columns, or a variance of 0. */
  readonly correlation: number | null
}

export interface LinearMixedModel {
  readonly method: 'linear mixed model'
  readonly estimation: 'REML' | 'ML'
  readonly intervalMethod: 'satterthwaite' | 'wald' | 'profile'
  readonly fixed: readonly FixedEffect[]
  readonly fixedCovariance: readonly (readonly number[])[]
  /** Innermost level first. */
  readonly random: readonly RandomLevel[]
  readonly residualSd: number
  /** Share of the variance that is between innermost groups, with one random intercept only; otherwise null. */
  readonly intraclassCorrelation: number | null
  readonly logLikelihood: number
  readonly deviance: number
  readonly nParameters: number
  readonly aic: number
  /** With the logarithm of the number of observations. */
  readonly bic: number
  readonly nObservations: number
  readonly nGroups: number
  readonly nOuterGroups: number | null
  readonly nDropped: number
  /** True where a variance is 0 or a correlation is -1 or 1 at the estimate. */
  readonly singular: boolean
  readonly converged: boolean
  readonly optimiser: MixedModelOptimiser
  /** Predicted random effects of each level, innermost first. */
  readonly groupEffects: readonly GroupEffects[]
  /** What predictions are computed from; not for reading. */
  readonly working: MixedModelWorking
}

export interface MixedModelWorking {
  readonly rInverse: Float64Array
  readonly inverse: Float64Array
  readonly beta: Float64Array
  readonly inner: LevelProducts
  readonly outer: LevelProducts
  readonly outerOf: Int32Array | null
  readonly cross: Float64Array
  readonly innerRelative: Relative
  readonly outerRelative: Relative
  readonly unscale: Unscale
  readonly slopeName: string
}

export interface ReportInput {
  readonly found: Maximised
  readonly fixedNames: readonly string[]
  /** Coefficients = rInverse (fitted + working coefficients). */
  readonly rInverse: Float64Array
  readonly logDeterminantR: number
  readonly fitted: Float64Array
  readonly unscale: Unscale
  readonly slopeName: string
  readonly labels: readonly (string | number)[]
  readonly outerLabels: readonly (string | number)[]
  readonly nDropped: number
  readonly estimation: 'REML' | 'ML'
  readonly level: number
  readonly interval: 'satterthwaite' | 'wald' | 'profile'
}

export function reportFit(input: ReportInput): LinearMixedModel {
  const { found, rInverse, estimation } = input
  const { search, maximum } = found
  const { evaluation } = maximum
  const { sums } = search.deviance
  const p = input.fixedNames.length
  const residualVariance = evaluation.rss / evaluation.degrees
  const deviance = evaluation.deviance + (estimation === 'REML' ? 2 * input.logDeterminantR : 0)
  const nParameters = p + maximum.theta.length + 1
  const covariance = sandwich(rInverse, evaluation.inverse, p).map((v) => v * residualVariance)
  const random = [
    levelReport('groups', search.inner, found.innerRelative, input, sums.nGroups, residualVariance),
    ...(sums.outerOf === null
      ? []
      : [
          levelReport('outerGroups', search.outer, found.outerRelative, input, sums.nOuter, residualVariance),
        ]),
  ]
  const between = random[0]!.covariance[0]![0]!
  const oneIntercept = random.length === 1 && random[0]!.columns.join() === INTERCEPT
  return {
    method: 'linear mixed model',
    estimation,
    intervalMethod: input.interval,
    fixed: fixedEffects(input, covariance),
    fixedCovariance: toRows(covariance, p),
    random,
    residualSd: Math.sqrt(residualVariance),
    intraclassCorrelation: oneIntercept ? between / (between + residualVariance) : null,
    logLikelihood: -deviance / 2,
    deviance,
    nParameters,
    aic: deviance + 2 * nParameters,
    bic: deviance + Math.log(sums.n) * nParameters,
    nObservations: sums.n,
    nGroups: sums.nGroups,
    nOuterGroups: sums.outerOf === null ? null : sums.nOuter,
    nDropped: input.nDropped,
    singular: found.singular,
    converged: maximum.converged,
    optimiser: maximum.optimiser,
    groupEffects: effectsOf(input, residualVariance),
    working: {
      rInverse,
      inverse: evaluation.inverse,
      beta: evaluation.beta,
      inner: search.deviance.inner,
      outer: search.deviance.outer,
      outerOf: sums.outerOf,
      cross: search.deviance.cross,
      innerRelative: found.innerRelative,
      outerRelative: found.outerRelative,
      unscale: input.unscale,
      slopeName: input.slopeName,
    },
  }
}

function effectsOf(input: ReportInput, residualVariance: number): GroupEffects[] {
  const { search, maximum, innerRelative, outerRelative } = input.found
  const common = {
    slopeName: input.slopeName,
    unscale: input.unscale,
    beta: maximum.evaluation.beta,
    inverse: maximum.evaluation.inverse,
    residualVariance,
  }
  const inner = groupEffects({
    ...common,
    shape: search.inner,
    labels: input.labels,
    products: search.deviance.inner,
    relative: innerRelative,
  })
  if (search.deviance.sums.outerOf === null) return [inner]
  const outer = groupEffects({
    ...common,
    shape: search.outer,
    labels: input.outerLabels,
    products: search.deviance.outer,
    relative: outerRelative,
  })
  return [inner, outer]
}

function levelReport(
  grouping: RandomLevel['grouping'],
  shape: LevelShape,
  relative: Relative,
  { unscale, slopeName }: ReportInput,
  nGroups: number,
  residualVariance: number,
): RandomLevel {
  const [v11, v12, v22] = unscaled(unscale, ...relative).map((v) => v * residualVariance) as [
    number,
    number,
    number,
  ]
  if (!(shape.first && shape.second)) {
    const variance = shape.first ? v11 : v22
    const columns = [shape.first ? INTERCEPT : slopeName]
    return {
      grouping,
      nGroups,
      columns,
      sd: [Math.sqrt(variance)],
      covariance: [[variance]],
      correlation: null,
    }
  }
  return {
    grouping,
    nGroups,
    columns: [INTERCEPT, slopeName],
    sd: [Math.sqrt(v11), Math.sqrt(v22)],
    covariance: [
      [v11, v12],
      [v12, v22],
    ],
    correlation:
      parametersOf(shape) === 3 && v11 > 0 && v22 > 0
        ? Math.max(-1, Math.min(1, v12 / Math.sqrt(v11 * v22)))
        : null,
  }
}

function fixedEffects(input: ReportInput, covariance: Float64Array): FixedEffect[] {
  const { found, rInverse, level } = input
  const { search, maximum } = found
  const p = input.fixedNames.length
  const beta = product(
    rInverse,
    maximum.evaluation.beta.map((b, i) => b + input.fitted[i]!),
    p,
    p,
    1,
  )
  const degrees = satterthwaiteDegrees(search, maximum, rInverse)
  const profiles =
    input.interval === 'profile'
      ? profileIntervals(found, {
          rInverse,
          fitted: input.fitted,
          se: Array.from({ length: p }, (_, j) => Math.sqrt(covariance[j * p + j]!)),
          level,
        })
      : null
  return input.fixedNames.map((name, j) => {
    const estimate = beta[j]!
    const se = Math.sqrt(covariance[j * p + j]!)
    const df = degrees[j]!
    const t = estimate / se
    const quantile =
      input.interval === 'wald'
        ? normal.quantile((1 + level) / 2, 0, 1)
        : tDistribution.quantile((1 + level) / 2, df)
    const interval = profiles?.[j] ?? {
      lower: estimate - quantile * se,
      upper: estimate + quantile * se,
      level,
    }
    return { name, estimate, se, interval, df, t, p: 2 * tDistribution.cdf(-Math.abs(t), df) }
  })
}
