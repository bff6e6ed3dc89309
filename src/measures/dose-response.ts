import type { Records } from '../records/index.ts'
import { CannotEstimate, type RandomInterceptModel, randomInterceptModel } from '../statistics/index.ts'
import type { AsOf } from './as-of.ts'
import { type DoseInterval, doseIntervals } from './dose-intervals.ts'
import { POINTS_UNIT } from './points.ts'
import { type ProgrammeDays, programmeDays } from './programme-days.ts'
import { type Computed, compute, type MeasureResult, measureResult } from './result.ts'
import { allSeries } from './series.ts'
import { type SlopeEstimate, slopeEstimate } from './slope-estimate.ts'

export interface DoseResponseOptions extends AsOf {
  readonly level?: number
  /** Sessions already laid on the programme's days; worked out from the records unless given. */
  readonly days?: ProgrammeDays
}

/** Score change a month that goes with the whole prescribed dose rather than none. Points of the common scale; below 0 is better. */
export interface DoseModel {
  /** In months in which a client did more than that client usually does. */
  readonly within: SlopeEstimate
  /** Between clients who usually do more and clients who usually do less. */
  readonly between: SlopeEstimate
  /** Change a month at the mean dose. */
  readonly atMeanDose: SlopeEstimate
  readonly meanDose: number
  /** Standard deviation of the dose within clients: little of it means that `within` rests on little. */
  readonly doseSdWithin: number
  readonly doseSdBetween: number
  readonly clients: number
  readonly model: RandomInterceptModel
}

export interface DoseResponse extends MeasureResult {
  readonly model: Computed<DoseModel>
  readonly intervals: readonly DoseInterval[]
  /** The words that stand with the figure wherever it is shown. */
  readonly words: string
}

export const DOSE_WORDS =
  'This is an association. Families who do more of the programme differ from others in many ways, and a family may do more because things go well. It does not show that more of the programme causes more change.'

const mean = (xs: readonly number[]): number => xs.reduce((a, b) => a + b, 0) / xs.length
const spread = (xs: readonly number[]): number =>
  Math.sqrt(xs.reduce((sum, x) => sum + x * x, 0) / Math.max(1, xs.length - 1))

function modelOf(intervals: readonly DoseInterval[], level: number): DoseModel {
  const doses = new Map<string, number[]>()
  for (const { series, dose } of intervals) {
    const own = doses.get(series.client_id)
    if (own) own.push(dose)
    else doses.set(series.client_id, [dose])
  }
  if (doses.size < 5) throw new CannotEstimate('doseResponse', '5 clients or more', String(doses.size))
  const usual = new Map([...doses].map(([id, own]) => [id, mean(own)]))
  const meanDose = mean(intervals.map((i) => i.dose))
  const within = intervals.map((i) => i.dose - usual.get(i.series.client_id)!)
  const between = intervals.map((i) => usual.get(i.series.client_id)! - meanDose)
  const vary = (xs: readonly number[]) => xs.some((x) => Math.abs(x) > 1e-9)
  if (!vary(within) || !vary(between))
    throw new CannotEstimate(
      'doseResponse',
      'doses that differ within and between clients',
      'doses that do not',
    )
  const model = randomInterceptModel(
    intervals.map((_, i) => [1, within[i]!, between[i]!]),
    intervals.map((i) => i.changePerMonth),
    intervals.map((i) => i.series.client_id),
  )
  const covariance = model.jackknifeCovariance ?? model.modelCovariance
  const estimate = (k: number) =>
    slopeEstimate(model.coefficients[k]!, Math.sqrt(covariance[4 * k]!), model.nClusters - 3, level)
  return {
    within: estimate(1),
    between: estimate(2),
    atMeanDose: estimate(0),
    meanDose,
    doseSdWithin: spread(within),
    doseSdBetween: spread([...usual.values()].map((u) => u - meanDose)),
    clients: doses.size,
    model,
  }
}

/**
 * Dose and response: the score change a month between two occasions against the mean dose fraction of the programme days between them,
 * split into what a client did against the client's own mean (within) and the client's mean against all (between; Mundlak), with a
 * client effect. Intervals leave out one client at a time, since changes that follow each other share an occasion and pull apart.
 *
 * Days without a session count as not done ("as logged"), so a family without a diary looks like one that did nothing.
 *
 * Source: Mundlak (1978) Econometrica 46:69-85.
 */
export function doseResponse(records: Records, options: DoseResponseOptions): DoseResponse {
  const days = options.days ?? programmeDays(records, options)
  const { intervals, candidates, tally } = doseIntervals(allSeries(records, options), days)
  return {
    ...measureResult({
      measure: 'Dose and response',
      asOf: options.asOf,
      unit: 'interval between two occasions',
      enrolled: candidates,
      n: intervals.length,
      exclusions: tally.list(),
      method:
        'linear mixed model of the change a month on the dose within and between clients (Mundlak), client effect',
      convention: `Change a month in ${POINTS_UNIT} for the whole prescribed dose against none; dose as logged: a day without a session counts as not done.`,
      reading: 'association',
      readingNote: DOSE_WORDS,
    }),
    model: compute('Dose and response', () => modelOf(intervals, options.level ?? 0.95)),
    intervals,
    words: DOSE_WORDS,
  }
}
