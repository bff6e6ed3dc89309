import { type Day, formatDay, type Records } from '../records/index.ts'
import { type SeriesAge, seriesAge } from './ages.ts'
import { type AsOf, clientsById } from './as-of.ts'
import { type Baseline, statusBaseline } from './baseline.ts'
import { type Computed, isComputed, type MeasureResult, measureResult } from './result.ts'
import { allSeries, type Occasion, type Series } from './series.ts'
import {
  type SmallestReliableDifference,
  type SmallestReliableDifferenceOptions,
  smallestReliableDifference,
} from './smallest-reliable-difference.ts'
import { courseOf, STATUSES, type Status } from './zero-runs.ts'

/** Change smaller than this beyond the threshold is rounding, not change. */
const ROUNDING = 1e-9

export interface SeriesStatus {
  readonly series: Series
  readonly status: Status
  readonly baseline: Baseline
  readonly first: Occasion
  readonly last: Occasion
  /** Last score less the baseline, points of the series' scale; null without a baseline. */
  readonly change: number | null
  readonly changeSeverity: number | null
  /** False where the status rests on a change that could not be judged; `note` says why. */
  readonly judged: boolean
  /** What a person must know beside the status; empty where nothing. */
  readonly note: string
  readonly ageAtFirst: SeriesAge
  readonly ageAtLast: SeriesAge
  /** First zero of the confirmed run, where integrated or returned (the latest such run); null otherwise. */
  readonly integratedOn: Day | null
  /** Positive day from which the reflex was back, where returned or wavering. */
  readonly backOn: Day | null
}

export interface StatusResult extends MeasureResult {
  readonly series: readonly SeriesStatus[]
  readonly counts: Readonly<Record<Status, number>>
  readonly difference: Computed<SmallestReliableDifference>
}

export interface StatusOptions extends SmallestReliableDifferenceOptions {}

function byChange(
  change: number | null,
  difference: Computed<SmallestReliableDifference>,
): { readonly status: Status; readonly judged: boolean; readonly note: string } {
  const unjudged = (note: string) => ({ status: 'no reliable change' as const, judged: false, note })
  if (change === null) return unjudged('No score in the 60 days up to the start, so change cannot be judged.')
  if (!isComputed(difference)) return unjudged(difference.notComputed)
  const beyond = Math.abs(change) > difference.severity + ROUNDING
  return {
    status: !beyond ? 'no reliable change' : change > 0 ? 'rising' : 'fading',
    judged: true,
    note: difference.from === 'assumed' ? 'The smallest reliable difference is assumed.' : '',
  }
}

/**
 * Where one series stands: its course from the first occasion to the last, and whether the change since the baseline is more than the
 * smallest reliable difference, where that could be computed.
 *
 * @param series with one occasion or more, in order of days
 * @param client birth date and gestation, for the ages
 */
export function seriesStatus(
  series: Series,
  difference: Computed<SmallestReliableDifference>,
  client: Parameters<typeof seriesAge>[0],
  options: Pick<StatusOptions, 'baselineDays'> = {},
): SeriesStatus {
  const { occasions } = series
  const first = occasions[0]!
  const last = occasions.at(-1)!
  const baseline = statusBaseline(series, options.baselineDays)
  const from = baseline.occasion
  const changeSeverity = from === null ? null : last.severity - from.severity
  const course = courseOf(occasions)
  const judgement =
    course.status === null
      ? byChange(changeSeverity, difference)
      : { judged: true, note: '', status: course.status }
  const notes = [judgement.note]
  if (course.status === null && baseline.from === 'first occasion, no programme')
    notes.push(`No programme: compared with the first score, of ${formatDay(first.day)}.`)
  return {
    series,
    status: judgement.status,
    baseline,
    first,
    last,
    change: from === null ? null : last.score - from.score,
    changeSeverity,
    judged: judgement.judged,
    note: notes.filter(Boolean).join(' '),
    ageAtFirst: seriesAge(client, series.reflex, first.day),
    ageAtLast: seriesAge(client, series.reflex, last.day),
    integratedOn: course.integratedOn,
    backOn: course.backOn,
  }
}

/**
 * Status of every series, the first that holds of: not enough scores (fewer than 2 occasions); returned (a confirmed run
 * of zeros after a positive score, positive on the last); wavering (only unconfirmed zeros after a positive score, positive
 * on the last); appeared (0 on every occasion before the last, positive on the last); integrated (positive once, zeros to the
 * end spanning 28 days with 2 occasions); absent, unconfirmed; never seen; rising or fading (last score beyond baseline by
 * more than the smallest reliable difference); no reliable change. Zeros before the first positive score make no wavering.
 */
export function seriesStatuses(records: Records, options: StatusOptions & AsOf): StatusResult {
  const series = allSeries(records, options)
  const difference = smallestReliableDifference(series, options)
  const clients = clientsById(records)
  const statuses = series.map((s) => seriesStatus(s, difference, clients.get(s.client_id), options))
  const counts = Object.fromEntries(STATUSES.map((s) => [s, 0])) as Record<Status, number>
  for (const s of statuses) counts[s.status]++
  return {
    ...measureResult({
      measure: 'Status of every series',
      asOf: options.asOf,
      unit: 'series',
      enrolled: series.length,
      n: series.length,
      exclusions: [],
      method: 'ordered rules on the occasions of each series',
      convention:
        'The score of a day is the mean over its raters. Confirmed absence spans 28 days or more with 2 occasions or more. Change is the last score against the baseline, the last score in the 60 days up to the start; it must exceed the smallest reliable difference.',
      assumptions: assumptionsOf(statuses, difference),
      reading: 'description',
    }),
    series: statuses,
    counts,
    difference,
  }
}

function assumptionsOf(
  statuses: readonly SeriesStatus[],
  difference: Computed<SmallestReliableDifference>,
): string[] {
  const said: string[] = []
  if (!isComputed(difference)) said.push(difference.notComputed)
  else if (difference.from === 'assumed') said.push(difference.note)
  const count = (test: (s: SeriesStatus) => boolean, say: (n: number) => string) => {
    const n = statuses.filter(test).length
    if (n > 0) said.push(say(n))
  }
  count(
    (s) => s.baseline.from === 'first occasion, no programme',
    (n) => `${n} series without a programme are compared with their first score.`,
  )
  count(
    (s) => !s.judged && s.baseline.from === 'none',
    (n) => `${n} series have no score in the 60 days up to the start: their change is not judged.`,
  )
  count(
    (s) => s.series.mixedScales,
    (n) => `${n} series were scored on more than one scale: scores are carried over as shares of the scale.`,
  )
  count(
    (s) => s.ageAtLast.assumedTerm,
    (n) => `${n} series are of children under 24 months with unknown gestation, taken as term.`,
  )
  return said
}
