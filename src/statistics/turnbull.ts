import { censoringIntervals, type InnermostIntervals, innermostIntervals } from './innermost-intervals.ts'
import { maximiseMasses } from './interval-censored-masses.ts'
import { joinEdges } from './mixture-likelihood.ts'
import { CannotEstimate, type Maybe } from './shared.ts'

/** Where mass lies: in (left, right], or exactly at left = right. Where in it is not determined by the data. */
export interface MassInterval {
  readonly left: number
  /** Infinite where part of the mass lies past the last right end. */
  readonly right: number
  readonly exact: boolean
  readonly mass: number
  /** Mass up to and with this interval. */
  readonly cumulative: number
}

export interface Turnbull {
  readonly method: 'Turnbull nonparametric maximum likelihood'
  readonly n: number
  readonly nDropped: number
  /** Intervals with mass of 1e-9 or more, ascending. */
  readonly intervals: readonly MassInterval[]
  readonly logLikelihood: number
  /** Region of the median: the interval in which the distribution function passes 1/2. */
  readonly median: { readonly left: number; readonly right: number }
  readonly converged: boolean
  /** The largest of gradient / n - 1 over all candidate intervals: 0 but for rounding at the maximum. */
  readonly kuhnTuckerExcess: number
}

/** Survival at a time: null inside an interval that holds mass, where only its bounds are determined. */
export interface TurnbullSurvival {
  readonly at: number
  readonly survival: number | null
  readonly lowest: number
  readonly highest: number
}

/**
 * Turnbull's nonparametric maximum-likelihood estimate of a distribution from interval-censored times.
 *
 * An observation says: the event lies in (left, right]. left = right is an exact time, right null or Infinity is right-censored,
 * left 0 is left-censored. A row with left missing is dropped and counted. With exact and right-censored rows only it is the Kaplan-Meier
 * estimate.
 *
 * The maximum is exact: the Kuhn-Tucker conditions hold to about 1e-10 (`kuhnTuckerExcess`).
 *
 * Source: Turnbull (1976) J R Stat Soc B 38:290-295; Wellner and Zhan (1997) JASA 92:945-959 (EM with convex minorant steps).
 *
 * @throws CannotEstimate where no row is left, or a left end lies past its right end.
 */
export function turnbull(left: ArrayLike<Maybe>, right: ArrayLike<Maybe>): Turnbull {
  const data = censoringIntervals('turnbull', left, right)
  if (data.left.length === 0) throw new CannotEstimate('turnbull', 'an interval', 'none')
  const places = innermostIntervals(data.left, data.right)
  return fitTurnbull(places, new Float64Array(data.left.length).fill(1), data.dropped)
}

/** The estimate on known innermost intervals, each observation counted `weight` times. For resampling. */
export function fitTurnbull(
  places: InnermostIntervals,
  weight: ArrayLike<number>,
  nDropped: number,
): Turnbull {
  const edges = joinEdges(places.first, places.last, weight, places.left.length)
  const fit = maximiseMasses(edges)
  const intervals: MassInterval[] = []
  let cumulative = 0
  fit.mass.forEach((mass, j) => {
    if (mass < 1e-9) return
    cumulative += mass
    intervals.push({
      left: places.left[j]!,
      right: places.right[j]!,
      exact: places.exact[j] === 1,
      mass,
      cumulative,
    })
  })
  return {
    method: 'Turnbull nonparametric maximum likelihood',
    n: edges.total,
    nDropped,
    intervals,
    logLikelihood: fit.logLikelihood,
    median: quantileRegion(intervals, 0.5),
    converged: fit.converged,
    kuhnTuckerExcess: fit.kuhnTuckerExcess,
  }
}

/** The interval in which the distribution function passes p (0 < p < 1). */
function quantileRegion(intervals: readonly MassInterval[], p: number): { left: number; right: number } {
  const found = intervals.find((interval) => interval.cumulative >= p - 1e-9) ?? intervals.at(-1)!
  return { left: found.left, right: found.right }
}

/**
 * The innermost interval in which the p-quantile of a Turnbull estimate lies, in the unit of its times; its right end is infinite where the
 * quantile was not reached.
 * @throws CannotEstimate unless 0 < p < 1
 */
export function turnbullQuantile(estimate: Turnbull, p: number): { left: number; right: number } {
  if (!(p > 0 && p < 1)) throw new CannotEstimate('turnbullQuantile', 'a share between 0 and 1', String(p))
  return quantileRegion(estimate.intervals, p)
}

/** Survival just after a time, with its lowest and highest value where the time lies inside an interval that holds mass. */
export function turnbullSurvival(estimate: Turnbull, at: number): TurnbullSurvival {
  let lowest = 0
  let highest = 0
  let inside = false
  for (const { left, right, exact, mass } of estimate.intervals) {
    if (left < at && right > at) inside = true
    if (left >= at && !(exact && left === at)) lowest += mass
    if (right > at) highest += mass
  }
  return { at, survival: inside ? null : lowest, lowest, highest }
}
