import normal from '@stdlib/stats-base-dists-normal'
import { chiSquareUpperTail } from './chi-square-tail.ts'
import { censoringIntervals } from './innermost-intervals.ts'
import { choleskyFactor, choleskySolve } from './linear-solve.ts'
import { CannotEstimate, checkLevel, type Interval, isKnown, type Maybe } from './shared.ts'
import type { WeibullData } from './weibull-likelihood.ts'
import { maximiseWeibull, type WeibullMaximum } from './weibull-maximum.ts'

export interface WeibullCoefficient {
  /** `(Intercept)` or the covariate's name. */
  readonly name: string
  /** Change of log time per unit of the covariate. */
  readonly estimate: number
  readonly standardError: number | null
  readonly interval: Interval
  readonly p: number | null
  /** exp(-estimate / scale) with its interval by the delta method; null for the intercept. */
  readonly hazardRatio: { readonly estimate: number; readonly interval: Interval } | null
}

export interface IntervalCensoredWeibull {
  readonly method: 'Weibull regression, interval-censored, maximum likelihood'
  readonly n: number
  readonly nDropped: number
  readonly coefficients: readonly WeibullCoefficient[]
  readonly logScale: number
  readonly standardErrorOfLogScale: number | null
  readonly scale: number
  /** Weibull shape, 1 / scale. */
  readonly shape: number
  readonly logLikelihood: number
  /** Median time where all covariates are 0, with its interval on the log scale. */
  readonly baselineMedian: { readonly estimate: number; readonly interval: Interval }
  /** Against the model without covariates; null where there are none. */
  readonly likelihoodRatio: { readonly chiSquare: number; readonly df: number; readonly p: number } | null
  /** Covariance of the coefficients and, last, log scale; null where the information is singular. */
  readonly covariance: readonly (readonly number[])[] | null
  readonly converged: boolean
  readonly iterations: number
}

export interface WeibullOptions {
  /** Confidence level, 0.95 unless given. */
  readonly level?: number
  /** Newton steps at most, 100 unless given. */
  readonly maximumIterations?: number
}

/**
 * Weibull regression of times known only to lie in (left, right]: log T = x'beta + scale W, W standard smallest extreme value.
 *
 * Observations as in turnbull; an exact time adds its density on the time scale. `covariates` are named columns of numbers, an intercept
 * is added. A row with anything missing is dropped and counted. Standard errors come from the observed information.
 * Where the likelihood has no maximum (one exact time only, complete separation) `converged` is false.
 *
 * Source: Klein and Moeschberger (2003) section 12.2; Odell, Anderson and D'Agostino (1992) Biometrics 48:951-959. Equal to survreg of
 * the R package survival.
 *
 * @throws CannotEstimate where no event was seen, an exact time is 0, rows are fewer than parameters, or the covariates are collinear.
 */
export function intervalCensoredWeibull(
  left: ArrayLike<Maybe>,
  right: ArrayLike<Maybe>,
  covariates: Readonly<Record<string, ArrayLike<Maybe>>> = {},
  options: WeibullOptions = {},
): IntervalCensoredWeibull {
  const level = options.level ?? 0.95
  checkLevel('intervalCensoredWeibull', level)
  const names = Object.keys(covariates)
  const { data, nDropped } = readData(left, right, covariates)
  const steps = options.maximumIterations ?? 100
  const fit = maximiseWeibull(data, steps)
  const alone = { ...data, design: data.design.map(() => [1]) }
  const chiSquare = names.length > 0 ? Math.max(0, 2 * (fit.value - maximiseWeibull(alone, steps).value)) : 0
  return {
    method: 'Weibull regression, interval-censored, maximum likelihood',
    n: data.left.length,
    nDropped,
    ...describe(fit, ['(Intercept)', ...names], level),
    logLikelihood: fit.value,
    likelihoodRatio:
      names.length > 0
        ? { chiSquare, df: names.length, p: chiSquareUpperTail(chiSquare, names.length) }
        : null,
    converged: fit.converged,
    iterations: fit.iterations,
  }
}

function readData(
  left: ArrayLike<Maybe>,
  right: ArrayLike<Maybe>,
  covariates: Readonly<Record<string, ArrayLike<Maybe>>>,
): { readonly data: WeibullData; readonly nDropped: number } {
  const name = 'intervalCensoredWeibull'
  const columns = Object.entries(covariates)
  for (const [column, values] of columns)
    if (values.length !== left.length)
      throw new CannotEstimate(name, `a value of ${column} a row`, `${values.length} for ${left.length}`)
  const complete = Array.from(left, (value, i) => (columns.every(([, x]) => isKnown(x[i])) ? value : null))
  const rows = censoringIntervals(name, complete, right)
  const n = rows.left.length
  if (n < columns.length + 2)
    throw new CannotEstimate(
      name,
      'as many rows as parameters',
      `${n} rows, ${columns.length + 2} parameters`,
    )
  if (rows.left.some((from, i) => from < 0 || (from === 0 && rows.right[i] === 0)))
    throw new CannotEstimate(name, 'times of 0 or more, exact ones above 0', 'one that is not')
  if (!rows.right.some(Number.isFinite)) throw new CannotEstimate(name, 'an event', 'all rows censored')
  const design = Array.from(rows.row, (row) => [1, ...columns.map(([, x]) => x[row] as number)])
  return { data: { left: rows.left, right: rows.right, design }, nDropped: rows.dropped }
}

function describe(fit: WeibullMaximum, names: readonly string[], level: number) {
  const delta = deltaMethod(fit, level)
  const size = names.length
  const logScale = fit.parameters[size]!
  const scale = Math.exp(logScale)
  const weights = (at: number, value: number, byLogScale: number) =>
    fit.parameters.map((_, j) => (j === size ? byLogScale : j === at ? value : 0))
  const coefficients = names.map((name, j): WeibullCoefficient => {
    const estimate = fit.parameters[j]!
    const standardError = delta.standardError(weights(j, 1, 0))
    // log hazard ratio = -beta / scale; its derivative by log scale is beta / scale.
    const logRatio = weights(j, -1 / scale, estimate / scale)
    return {
      name,
      estimate,
      standardError,
      interval: delta.interval(estimate, weights(j, 1, 0)),
      p: standardError === null ? null : 2 * normal.cdf(-Math.abs(estimate / standardError), 0, 1),
      hazardRatio:
        j === 0
          ? null
          : {
              estimate: Math.exp(-estimate / scale),
              interval: delta.interval(-estimate / scale, logRatio, Math.exp),
            },
    }
  })
  const shift = scale * Math.log(Math.LN2)
  const logMedian = fit.parameters[0]! + shift
  return {
    coefficients,
    logScale,
    standardErrorOfLogScale: delta.standardError(fit.parameters.map((_, j) => Number(j === size))),
    scale,
    shape: 1 / scale,
    baselineMedian: {
      estimate: Math.exp(logMedian),
      interval: delta.interval(logMedian, weights(0, 1, shift), Math.exp),
    },
    covariance: delta.covariance,
  }
}

/** Standard errors and intervals of linear combinations of the parameters, all null where the information is singular. */
function deltaMethod(fit: WeibullMaximum, level: number) {
  const z = normal.quantile((1 + level) / 2, 0, 1)
  const factor = choleskyFactor(fit.information)
  const unit = (at: number) => fit.parameters.map((_, j) => Number(j === at))
  const covariance = factor === null ? null : fit.parameters.map((_, j) => choleskySolve(factor, unit(j)))
  const standardError = (weights: readonly number[]): number | null => {
    if (covariance === null) return null
    const times = covariance.map((row) => row.reduce((sum, value, k) => sum + value * weights[k]!, 0))
    return Math.sqrt(times.reduce((sum, value, j) => sum + value * weights[j]!, 0))
  }
  const interval = (centre: number, weights: readonly number[], map = (x: number) => x): Interval => {
    const error = standardError(weights)
    return {
      lower: error === null ? null : map(centre - z * error),
      upper: error === null ? null : map(centre + z * error),
      level,
    }
  }
  return { covariance, standardError, interval }
}
