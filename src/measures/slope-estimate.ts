import students from '@stdlib/stats-base-dists-t'
import type { Interval } from '../statistics/index.ts'

/** A slope, or a difference of slopes, with its t interval. */
export interface SlopeEstimate {
  readonly estimate: number
  readonly standardError: number
  readonly interval: Interval
  readonly df: number
  readonly p: number
}

/** Estimate, t interval and p; degrees of freedom no fewer than 1. */
export function slopeEstimate(
  estimate: number,
  standardError: number,
  degrees: number,
  level: number,
): SlopeEstimate {
  const df = Math.max(1, degrees)
  const margin = students.quantile((1 + level) / 2, df) * standardError
  return {
    estimate,
    standardError,
    interval: { lower: estimate - margin, upper: estimate + margin, level },
    df,
    p: 2 * students.cdf(-Math.abs(estimate / standardError), df),
  }
}

/** Side of 0 on which an interval lies: -1, 1, or 0 where it holds zero. */
export const sideOfZero = (interval: Interval): -1 | 0 | 1 =>
  interval.upper! < 0 ? -1 : interval.lower! > 0 ? 1 : 0
