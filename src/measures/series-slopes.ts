import { DAYS_PER_MONTH, type Records } from '../records/index.ts'
import { type LeastSquaresLine, leastSquaresLine, type TheilSen, theilSen } from '../statistics/index.ts'
import type { AsOf } from './as-of.ts'
import { POINTS_UNIT, points } from './points.ts'
import { type Computed, compute, ExclusionTally, type MeasureResult, measureResult } from './result.ts'
import { allSeries, type Series } from './series.ts'

/** Slope of one series in points of the common scale a month: below 0 is better. */
export interface SeriesSlope {
  readonly series: Series
  readonly occasions: number
  readonly spanMonths: number
  /** With two occasions there is a slope but nothing to judge its spread by: the interval is null. */
  readonly leastSquares: Computed<LeastSquaresLine>
  /** Median of the slopes of all pairs of occasions: one odd score moves it little. */
  readonly theilSen: Computed<TheilSen>
}

export interface SeriesSlopes extends MeasureResult {
  readonly slopes: readonly SeriesSlope[]
}

/** Months since the programme's start, or since the first occasion where there is no programme. */
export const monthsOf = (series: Series, day: number): number =>
  (day - (series.start ?? series.occasions[0]!.day)) / DAYS_PER_MONTH

/**
 * Both slopes of one series over all its occasions, in points of the common scale per month, each with an interval of `level`; where
 * one cannot be estimated, the reason.
 */
export function seriesSlope(series: Series, level = 0.95): SeriesSlope {
  const months = series.occasions.map((o) => monthsOf(series, o.day))
  const scores = series.occasions.map(points)
  return {
    series,
    occasions: months.length,
    spanMonths: months.at(-1)! - months[0]!,
    leastSquares: compute('The slope', () => leastSquaresLine(months, scores, { level })),
    theilSen: compute('The Theil–Sen slope', () => theilSen(months, scores, { level })),
  }
}

/**
 * Slope per month of every series with two occasions or more, by least squares and by Theil and Sen, each with its interval.
 * A short series has wide intervals; the shrunken slopes of {@link caseloadTrajectory} borrow strength from the caseload.
 */
export function seriesSlopes(records: Records, options: AsOf & { readonly level?: number }): SeriesSlopes {
  const all = allSeries(records, options)
  const enough = all.filter((s) => s.occasions.length >= 2)
  const tally = new ExclusionTally()
  tally.add('fewer than 2 occasions', all.length - enough.length)
  return {
    ...measureResult({
      measure: 'Slope of every series',
      asOf: options.asOf,
      unit: 'series',
      enrolled: all.length,
      n: enough.length,
      exclusions: tally.list(),
      method: 'least squares; Theil–Sen with Sen’s interval',
      convention: `Occasions (mean over a day’s raters) on months of 30.4375 days, in ${POINTS_UNIT}.`,
      reading: 'uncontrolled change',
    }),
    slopes: enough.map((s) => seriesSlope(s, options.level)),
  }
}
