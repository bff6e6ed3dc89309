import { UserError } from '../errors.ts'
import {
  ageMonths,
  type Client,
  chronologicalAgeMonths,
  type Day,
  formatDay,
  type Records,
} from '../records/index.ts'
import { type Adherence, adherence } from './adherence.ts'
import type { ClientAdherence } from './adherence-clients.ts'
import type { LineAdherence } from './adherence-lines.ts'
import type { AsOf } from './as-of.ts'
import { type Asymmetry, asymmetries } from './asymmetry.ts'
import { type ClientTimeline, clientTimeline, type TimelineLine } from './client-timeline.ts'
import { type Computed, ExclusionTally, isComputed, type MeasureResult, measureResult } from './result.ts'
import { type SafetyEntry, type SafetyResult, safetyList } from './safety.ts'
import type { SideRatio } from './side-ratio.ts'
import { type SingleCase, type SingleCaseOptions, singleCase } from './single-case.ts'
import type { SmallestReliableDifference } from './smallest-reliable-difference.ts'
import { type SeriesStatus, type StatusOptions, type StatusResult, seriesStatuses } from './status.ts'

export interface ClientCaseOptions extends StatusOptions, SingleCaseOptions, AsOf {
  /** First day of the events on the same-day list; 14 days before the as-of day unless given. */
  readonly since?: Day
  /** Parts already worked out for the same records and as-of day. */
  readonly statuses?: StatusResult
  readonly adherence?: Adherence
  readonly safety?: SafetyResult
}

/** Whether one series changed by more than measuring error. More than that cannot be said of one client. */
export interface ChangeBeyondError {
  readonly status: SeriesStatus
  /** null where it cannot be judged. */
  readonly exceeds: boolean | null
  readonly sentence: string
}

/** Days on which the same lines run: a phase of the programme. */
export interface ProgrammePhase {
  readonly from: Day
  readonly until: Day
  readonly lines: readonly TimelineLine[]
}

/** Everything a case presentation of one client rests on. */
export interface ClientCase extends MeasureResult {
  readonly client: Client
  readonly ageMonths: number | null
  readonly chronologicalAgeMonths: number | null
  readonly phases: readonly ProgrammePhase[]
  readonly changes: readonly ChangeBeyondError[]
  readonly cases: readonly SingleCase[]
  readonly asymmetries: readonly Asymmetry[]
  readonly timeline: ClientTimeline
  readonly adherence: ClientAdherence | null
  readonly lines: readonly LineAdherence[]
  readonly sideRatios: readonly SideRatio[]
  readonly safetyToday: readonly SafetyEntry[]
  readonly safetyKnown: readonly SafetyEntry[]
  readonly difference: Computed<SmallestReliableDifference>
}

const score = (value: number): string => String(Number(value.toFixed(2)))

function changeBeyondError(
  status: SeriesStatus,
  difference: Computed<SmallestReliableDifference>,
): ChangeBeyondError {
  const { baseline, changeSeverity, last } = status
  const { scaleMax } = status.series
  if (changeSeverity === null || baseline.occasion === null)
    return {
      status,
      exceeds: null,
      sentence: 'No score in the 60 days up to the start, so change cannot be judged.',
    }
  if (baseline.occasion === last)
    return { status, exceeds: null, sentence: 'No score since the baseline, so there is no change to judge.' }
  if (!isComputed(difference)) return { status, exceeds: null, sentence: difference.notComputed }
  const exceeds = Math.abs(changeSeverity) > difference.severity + 1e-9
  const limit = score(difference.severity * scaleMax)
  const assumed = difference.from === 'assumed' ? ' (assumed)' : ''
  return {
    status,
    exceeds,
    sentence: `${score(baseline.occasion.score)} on ${formatDay(baseline.occasion.day)}, ${score(last.score)} on ${formatDay(last.day)}: ${
      exceeds ? 'more than' : 'within'
    } measuring error of ${limit} points${assumed}. Whether growing up or the programme did it cannot be told from one client.`,
  }
}

function programmePhases(lines: readonly TimelineLine[]): ProgrammePhase[] {
  const edges = [...new Set(lines.flatMap((l) => [l.from, l.to + 1]))].sort((a, b) => a - b)
  return edges.slice(0, -1).flatMap((from, i) => {
    const running = lines.filter((l) => l.from <= from && l.to >= from)
    return running.length === 0 ? [] : [{ from, until: edges[i + 1]! - 1, lines: running }]
  })
}

/**
 * One client: phases, non-overlap, Tau-U, a randomisation test where the design allows, both sides over time, adherence and
 * timeline. Series with fewer than 2 occasions have no course and are counted as excluded.
 *
 * @throws UserError where there is no such client.
 */
export function clientCase(records: Records, clientId: string, options: ClientCaseOptions): ClientCase {
  const client = records.clients.find((c) => c.client_id === clientId)
  if (client === undefined)
    throw new UserError(
      `There is no client ${clientId} in these records. Check the id; it must match letter for letter.`,
      { exitCode: 2 },
    )
  const { asOf } = options
  const statuses = options.statuses ?? seriesStatuses(records, options)
  const log = options.adherence ?? adherence(records, options)
  const safety = options.safety ?? safetyList(records, { ...options, statuses })
  const own = statuses.series.filter((s) => s.series.client_id === clientId)
  const series = own.map((s) => s.series)
  const timeline = clientTimeline(records, clientId, series, log.days, options)
  const left = new ExclusionTally()
  left.add('fewer than 2 occasions', own.filter((s) => s.status === 'not enough scores').length)
  const isOwn = (x: { readonly client_id: string | null }): boolean => x.client_id === clientId
  return {
    ...measureResult({
      measure: `Client ${clientId}`,
      asOf,
      unit: 'series',
      enrolled: series.length,
      n: own.filter((s) => s.status !== 'not enough scores').length,
      exclusions: left.list(),
      method: 'single-case figures: non-overlap of all pairs, Tau-U, Theil–Sen',
      convention:
        'Phase A runs up to the programme’s start, the start day included; phase B after it. Improvement is a decrease.',
      assumptions: [
        'Occasions in sequence are taken as independent, so intervals and p-values are too narrow.',
        ...(isComputed(statuses.difference) && statuses.difference.from === 'assumed'
          ? [statuses.difference.note]
          : []),
      ],
      reading: 'uncontrolled change',
      readingNote:
        'One client’s course shows whether change exceeds measuring error. It cannot show whether growing up or the programme did it.',
    }),
    client,
    ageMonths: ageMonths(client, asOf),
    chronologicalAgeMonths: chronologicalAgeMonths(client, asOf),
    phases: programmePhases(timeline.lines),
    changes: own.map((s) => changeBeyondError(s, statuses.difference)),
    cases: series.map((s) => singleCase(s, options)),
    asymmetries: asymmetries(series),
    timeline,
    adherence: log.clients.find(isOwn) ?? null,
    lines: log.lines.filter(isOwn),
    sideRatios: log.sideRatios.filter(isOwn),
    safetyToday: safety.today.filter(isOwn),
    safetyKnown: safety.known.filter(isOwn),
    difference: statuses.difference,
  }
}
