import type { Client, Day, Records } from '../records/index.ts'
import { type Adherence, adherence } from './adherence.ts'
import { type AsOf, isDischarged } from './as-of.ts'
import {
  ATTENTION_KINDS,
  type AttentionKind,
  type AttentionReason,
  diaryReasons,
  groupReasons,
  notStartedReasons,
  overdueReasons,
  safetyReasons,
  statusReasons,
  stuckReasons,
} from './attention-reasons.ts'
import { ExclusionTally, type MeasureResult, measureResult } from './result.ts'
import { type SafetyResult, safetyList } from './safety.ts'
import { compareText } from './series.ts'
import { type StatusOptions, type StatusResult, seriesStatuses } from './status.ts'
import { type VisitGap, visitGap } from './visit-gap.ts'

export interface AttentionOptions extends StatusOptions, AsOf {
  /** First day of the events on the same-day list; 14 days before the as-of day unless given. */
  readonly since?: Day
  /** Parts already worked out for the same records and as-of day. */
  readonly statuses?: StatusResult
  readonly adherence?: Adherence
  readonly safety?: SafetyResult
}

/** One client who needs a person, with every reason, most urgent first. */
export interface AttentionEntry {
  readonly client_id: string
  readonly clinician: string | null
  readonly site: string | null
  /** The most urgent reason. */
  readonly kind: AttentionKind
  readonly reasons: readonly AttentionReason[]
  /** Series of all reasons, for links. */
  readonly seriesIds: readonly string[]
}

export interface AttentionResult extends MeasureResult {
  readonly entries: readonly AttentionEntry[]
  readonly counts: Readonly<Record<AttentionKind, number>>
  readonly visitGap: VisitGap
  /** Same-day entries that belong to no known client: records that could not be read. */
  readonly unreadRecords: SafetyResult['today']
}

const rank = (kind: AttentionKind): number => ATTENTION_KINDS.indexOf(kind)

function entriesOf(
  clients: readonly Client[],
  reasons: ReadonlyMap<string, readonly AttentionReason[]>,
): AttentionEntry[] {
  return clients
    .flatMap((client): AttentionEntry[] => {
      const own = reasons.get(client.client_id)
      if (own === undefined) return []
      const ordered = [...own].sort((a, b) => rank(a.kind) - rank(b.kind) || a.order - b.order)
      return [
        {
          client_id: client.client_id,
          clinician: client.clinician,
          site: client.site,
          kind: ordered[0]!.kind,
          reasons: ordered,
          seriesIds: [...new Set(ordered.flatMap((r) => r.seriesIds))],
        },
      ]
    })
    .sort(
      (a, b) =>
        rank(a.kind) - rank(b.kind) ||
        a.reasons[0]!.order - b.reasons[0]!.order ||
        b.reasons.length - a.reasons.length ||
        compareText(a.client_id, b.client_id),
    )
}

/**
 * Attention list: one entry a client, most urgent reason first, every reason with its evidence. Discharged clients are
 * left out, counted. "Integrated" is for information.
 */
export function attentionList(records: Records, options: AttentionOptions): AttentionResult {
  const { asOf } = options
  const statuses = options.statuses ?? seriesStatuses(records, options)
  const log = options.adherence ?? adherence(records, options)
  const safety = options.safety ?? safetyList(records, { ...options, statuses })
  const gap = visitGap(records, options)
  const here = records.clients.filter((c) => !isDischarged(c, asOf))
  const ids = new Set(here.map((c) => c.client_id))
  const found = [
    ...safetyReasons(safety),
    ...statusReasons(statuses),
    ...notStartedReasons(log),
    ...diaryReasons(log),
    ...stuckReasons(statuses, log),
    ...overdueReasons(records, log, gap, options),
  ].filter((r) => ids.has(r.client_id))
  const entries = entriesOf(here, groupReasons(found))
  const counts = Object.fromEntries(ATTENTION_KINDS.map((k) => [k, 0])) as Record<AttentionKind, number>
  for (const e of entries) for (const kind of new Set(e.reasons.map((r) => r.kind))) counts[kind]++
  const left = new ExclusionTally()
  left.add('discharged', records.clients.length - here.length)
  return {
    ...measureResult({
      measure: 'Clients who need a person',
      asOf,
      unit: 'client',
      enrolled: records.clients.length,
      n: here.length,
      exclusions: left.list(),
      method: 'fixed rules, most urgent reason first',
      convention: `One entry a client, all reasons listed. Low adherence: days touched under 50 % of the line-days of the last 28 days with a running line, up to the last logged day. Stuck: no reliable change at 12 weeks (scored 9 weeks or more after the start). ${gap.note}`,
      assumptions: [...(gap.assumed ? [gap.note] : []), ...statuses.assumptions],
      reading: 'description',
      readingNote:
        'The list names what was recorded. It supports, and never replaces, the judgement of a licensed clinician.',
    }),
    entries,
    counts,
    visitGap: gap,
    unreadRecords: safety.today.filter((e) => e.client_id === null),
  }
}
