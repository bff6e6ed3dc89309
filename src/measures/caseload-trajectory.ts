import normal from '@stdlib/stats-base-dists-normal'
import type { Records } from '../records/index.ts'
import {
  CannotEstimate,
  type Interval,
  type NestedComponentsFit,
  type NestedLeastSquares,
  nestedComponents,
  nestedLeastSquares,
} from '../statistics/index.ts'
import type { AsOf } from './as-of.ts'
import { type CoursePoint, meanCourse } from './mean-course.ts'
import { POINTS_UNIT, points } from './points.ts'
import {
  type Computed,
  compute,
  ExclusionTally,
  isComputed,
  type MeasureResult,
  measureResult,
} from './result.ts'
import { allSeries, type Series } from './series.ts'
import { monthsOf } from './series-slopes.ts'
import { type SlopeEstimate, slopeEstimate } from './slope-estimate.ts'

export interface CaseloadTrajectoryOptions extends AsOf {
  readonly level?: number
}

/** A series' slope, drawn towards its client's and the caseload's by as much as its own scores leave open. */
export interface ShrunkenSlope {
  readonly series: Series
  readonly occasions: number
  /** Points of the common scale a month. */
  readonly slope: number
  readonly interval: Interval
  /** At the start of the programme. */
  readonly intercept: number
}

export interface CaseloadModel {
  /** Mean slope of the caseload, points a month; interval by leaving out one client at a time. */
  readonly slope: SlopeEstimate
  readonly intercept: SlopeEstimate
  /** Spread of slopes between clients, and between series of one client: standard deviations. */
  readonly slopeSdBetweenClients: number
  readonly slopeSdBetweenSeries: number
  readonly residualSd: number
  readonly fit: NestedComponentsFit
  readonly shrunken: readonly ShrunkenSlope[]
  /** Mean line of the model with its band, and beside it what was scored, by month. */
  readonly course: readonly CoursePoint[]
}

export interface CaseloadTrajectory extends MeasureResult {
  readonly model: Computed<CaseloadModel>
}

interface Rows {
  readonly design: number[][]
  readonly y: number[]
  readonly time: number[]
  readonly series: string[]
  readonly cluster: string[]
}

function rowsOf(series: readonly Series[]): Rows {
  const rows: Rows = { design: [], y: [], time: [], series: [], cluster: [] }
  for (const one of series)
    for (const occasion of one.occasions) {
      const months = monthsOf(one, occasion.day)
      rows.design.push([1, months])
      rows.y.push(points(occasion))
      rows.time.push(months)
      rows.series.push(one.id)
      rows.cluster.push(one.client_id)
    }
  return rows
}

function shrunkenSlopes(
  series: readonly Series[],
  solved: NestedLeastSquares,
  level: number,
): ShrunkenSlope[] {
  const lines = new Map(solved.lines.map((line) => [line.series, line]))
  const z = normal.quantile((1 + level) / 2, 0, 1)
  return series.map((one) => {
    const { slope, slopeError, intercept } = lines.get(one.id)!
    const interval = { lower: slope - z * slopeError, upper: slope + z * slopeError, level }
    return { series: one, occasions: one.occasions.length, slope, interval, intercept }
  })
}

function modelOf(series: readonly Series[], level: number): CaseloadModel {
  const rows = rowsOf(series)
  const clients = new Set(rows.cluster).size
  if (clients < 3) throw new CannotEstimate('caseloadTrajectory', '3 clients or more', String(clients))
  const fit = nestedComponents(rows)
  const solved = nestedLeastSquares(rows, fit.components)
  const covariance = solved.jackknifeCovariance ?? solved.modelCovariance
  const estimate = (k: number) =>
    slopeEstimate(solved.coefficients[k]!, Math.sqrt(covariance[3 * k]!), clients - 2, level)
  return {
    slope: estimate(1),
    intercept: estimate(0),
    slopeSdBetweenClients: Math.sqrt(fit.components.cluster.slope),
    slopeSdBetweenSeries: Math.sqrt(fit.components.series.slope),
    residualSd: Math.sqrt(fit.components.residual),
    fit,
    shrunken: shrunkenSlopes(series, solved, level),
    course: meanCourse(rows, { coefficients: solved.coefficients, covariance, df: clients - 2 }, level),
  }
}

/**
 * The caseload's course: a linear mixed model of all occasions on months since the programme's start, random intercept and slope per
 * series nested in client; each series' shrunken slope with its uncertainty; and the mean course with its band.
 *
 * Scores have a floor at 0, which makes the mean line flatter than the fall of those still above it: the line describes the written
 * scores. Shrunken intervals hold the uncertainty of the coefficients, not that of the variances, so they are a little short in small caseloads.
 */
export function caseloadTrajectory(records: Records, options: CaseloadTrajectoryOptions): CaseloadTrajectory {
  const series = allSeries(records, options)
  const enough = series.filter((s) => s.occasions.length >= 2)
  const tally = new ExclusionTally()
  tally.add('fewer than 2 occasions', series.length - enough.length)
  const model = compute('The caseload’s course', () => modelOf(enough, options.level ?? 0.95))
  const without = enough.filter((s) => s.start === null).length
  return {
    ...measureResult({
      measure: 'Course of the caseload',
      asOf: options.asOf,
      unit: 'series',
      enrolled: series.length,
      n: enough.length,
      exclusions: tally.list(),
      method:
        'linear mixed model (REML), random intercept and slope per series nested in client; intervals of the mean leave out one client at a time',
      convention: `Months from the programme’s start (30.4375 days), in ${POINTS_UNIT}; the mean over a day’s raters is one occasion.`,
      assumptions: [
        ...(without > 0 ? [`${without} series without a programme are counted from their first score.`] : []),
        ...(isComputed(model) && model.fit.singular
          ? [
              'The scores show no spread of slopes or levels at one of the two levels: that variance is estimated as nil.',
            ]
          : []),
      ],
      reading: 'uncontrolled change',
    }),
    model,
  }
}
