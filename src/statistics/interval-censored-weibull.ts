import normal from '@stdlib/stats-base-dists-normal'
import { chiSquareUpperTail } from './chi-square-tail.ts'
import { censoringIntervals } from './innermost-intervals.ts'
import { choleskyFactor, choleskySolve } from './linear-solve.ts'
import { CannotEstimate, checkLevel, type Interval, isKnown, type Maybe } from './shared.ts'
import { type Derivatives, type WeibullData, weibullLikelihood } from './weibull-likelihood.ts'

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
  const fit = maximise(data, steps)
  const alone = { ...data, design: data.design.map(() => [1]) }
  const chiSquare = names.length > 0 ? Math.max(0, 2 * (fit.value - maximise(alone, steps).value)) : 0
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

interface Fit extends Derivatives {
  readonly parameters: number[]
  readonly converged: boolean
  readonly iterations: number
}

/** Newton's method with step halving; where the information is not positive definite its diagonal is raised. */
function maximise(data: WeibullData, maximumIterations: number): Fit {
  let parameters = startingValues(data)
  let here = weibullLikelihood(data, parameters)
  for (let iteration = 1; iteration <= maximumIterations; iteration++) {
    const step = newtonStep(here)
    const gain = step.reduce((sum, s, j) => sum + s * here.gradient[j]!, 0)
    let found = false
    for (let shrink = 1; shrink > 1e-10 && !found; shrink /= 2) {
      const trial = parameters.map((value, j) => value + shrink * step[j]!)
      const there = weibullLikelihood(data, trial)
      if (!(there.value >= here.value - 1e-13 * Math.abs(here.value))) continue
      found = true
      parameters = trial
      here = there
    }
    if (gain < 1e-18 * data.left.length || !found)
      return { ...here, parameters, converged: gain < 1e-9 && isMaximum(here, step), iterations: iteration }
  }
  return { ...here, parameters, converged: false, iterations: maximumIterations }
}

/** Running off to infinity, the likelihood flattens while Newton's steps stay long, or its curvature is lost. */
function isMaximum(here: Derivatives, step: readonly number[]): boolean {
  return choleskyFactor(here.information) !== null && step.every((s) => Math.abs(s) < 1e-3)
}

function newtonStep(here: Derivatives): number[] {
  for (let ridge = 0; ; ridge = ridge === 0 ? 1e-4 : ridge * 10) {
    const raised = here.information.map((row, j) =>
      row.map((value, k) => (j === k ? value + ridge * (Math.abs(value) + 1) : value)),
    )
    const factor = choleskyFactor(raised)
    if (factor !== null) return choleskySolve(factor, here.gradient)
    if (ridge > 1e12) return here.gradient.map(() => 0)
  }
}

/** Least squares on the logarithm of the middle of each interval. */
function startingValues(data: WeibullData): number[] {
  const width = data.design[0]!.length
  const middle = Array.from(data.left, (from, i) => {
    const to = data.right[i]!
    return Math.log(Number.isFinite(to) ? (from + to) / 2 : Math.max(from, Number.MIN_VALUE))
  })
  const known = middle.filter((y) => y > -700)
  const floor = Math.min(...known)
  const y = middle.map((value) => Math.max(value, floor))
  const cross = Array.from({ length: width }, (_, j) =>
    Array.from({ length: width }, (_, k) => data.design.reduce((sum, row) => sum + row[j]! * row[k]!, 0)),
  )
  const factor = choleskyFactor(cross)
  if (factor === null)
    throw new CannotEstimate(
      'intervalCensoredWeibull',
      'covariates that are not collinear',
      'a singular design',
    )
  const beta = choleskySolve(
    factor,
    Array.from({ length: width }, (_, j) => data.design.reduce((sum, row, i) => sum + row[j]! * y[i]!, 0)),
  )
  const squares = data.design.reduce((sum, row, i) => {
    const fitted = row.reduce((total, x, j) => total + x * beta[j]!, 0)
    return sum + (y[i]! - fitted) ** 2
  }, 0)
  const scale = Math.max(0.1, (Math.sqrt(squares / y.length) * Math.sqrt(6)) / Math.PI)
  beta[0]! += 0.5772 * scale
  return [...beta, Math.log(scale)]
}

function describe(fit: Fit, names: readonly string[], level: number) {
  const z = normal.quantile((1 + level) / 2, 0, 1)
  const size = names.length
  const factor = choleskyFactor(fit.information)
  const covariance =
    factor === null
      ? null
      : fit.gradient.map((_, j) =>
          choleskySolve(
            factor,
            fit.gradient.map((_, k) => Number(j === k)),
          ),
        )
  const errorOf = (weights: readonly number[]): number | null => {
    if (covariance === null) return null
    const variance = weights.reduce(
      (sum, a, j) => sum + weights.reduce((inner, b, k) => inner + a * b * covariance[j]![k]!, 0),
      0,
    )
    return Math.sqrt(variance)
  }
  const around = (centre: number, error: number | null, map = (x: number) => x): Interval => ({
    lower: error === null ? null : map(centre - z * error),
    upper: error === null ? null : map(centre + z * error),
    level,
  })
  const logScale = fit.parameters[size]!
  const scale = Math.exp(logScale)
  const unit = (at: number, value = 1) => fit.parameters.map((_, j) => (j === at ? value : 0))
  const coefficients = names.map((name, j): WeibullCoefficient => {
    const estimate = fit.parameters[j]!
    const standardError = errorOf(unit(j))
    // log hazard ratio = -beta / scale; by log scale its derivative is beta / scale.
    const delta = unit(j, -1 / scale)
    delta[size] = estimate / scale
    const ratio = {
      estimate: Math.exp(-estimate / scale),
      interval: around(-estimate / scale, errorOf(delta), Math.exp),
    }
    return {
      name,
      estimate,
      standardError,
      interval: around(estimate, standardError),
      p: standardError === null ? null : 2 * normal.cdf(-Math.abs(estimate / standardError), 0, 1),
      hazardRatio: j === 0 ? null : ratio,
    }
  })
  const logMedian = fit.parameters[0]! + scale * Math.log(Math.LN2)
  const medianDelta = unit(0)
  medianDelta[size] = scale * Math.log(Math.LN2)
  return {
    coefficients,
    logScale,
    standardErrorOfLogScale: errorOf(unit(size)),
    scale,
    shape: 1 / scale,
    baselineMedian: {
      estimate: Math.exp(logMedian),
      interval: around(logMedian, errorOf(medianDelta), Math.exp),
    },
    covariance,
  }
}
