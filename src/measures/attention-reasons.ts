import { formatDay, type Records, type Side, type Target, targetName } from '../records/index.ts'
import type { Adherence } from './adherence.ts'
import { LONG_BREAK_DAYS, RECENT_DAYS } from './adherence-clients.ts'
import type { AsOf } from './as-of.ts'
import { doseOver, stretchesBySeries } from './dose-window.ts'
import type { SafetyResult } from './safety.ts'
import { SAFETY_KINDS, type SafetyKind } from './safety-kinds.ts'
import type { SeriesStatus, StatusResult } from './status.ts'
import { type VisitGap, visitDays } from './visit-gap.ts'

/** Reasons, most urgent first. The last is for information. */
export const ATTENTION_KINDS = [
  'look today',
  'returned',
  'rising',
  'not started',
  'low adherence',
  'no diary',
  'stuck',
  'overdue',
  'integrated',
] as const
export type AttentionKind = (typeof ATTENTION_KINDS)[number]

export interface AttentionReason {
  readonly client_id: string
  readonly kind: AttentionKind
  /** Order within the kind, most urgent first. */
  readonly order: number
  /** A sentence with the figures and dates it rests on. */
  readonly evidence: string
  readonly seriesIds: readonly string[]
  readonly safetyKind: SafetyKind | null
}

/** Days after a line's start by which a first session is looked for. */
export const NOT_STARTED_DAYS = 7
/** Share of line-days touched under which adherence is low. */
export const LOW_TOUCHED = 0.5
/** A series is stuck where 12 weeks have passed and it was scored at 12 weeks less 3 or later. */
export const STUCK_DAYS = 84
export const STUCK_SCORED_DAYS = 63

const reason = (
  client_id: string,
  kind: AttentionKind,
  evidence: string,
  seriesIds: readonly string[] = [],
  order = 0,
  safetyKind: SafetyKind | null = null,
): AttentionReason => ({ client_id, kind, order, evidence, seriesIds, safetyKind })

const named = (what: { readonly target: Target; readonly side: Side }): string =>
  `${targetName(what.target)}, ${what.side}`
const percent = (share: number): string => `${Math.round(100 * share)} %`
const score = (value: number): string => String(Number(value.toFixed(2)))

/** Reasons by client, in the order given. */
export function groupReasons(reasons: readonly AttentionReason[]): Map<string, AttentionReason[]> {
  const groups = new Map<string, AttentionReason[]>()
  for (const r of reasons) {
    const group = groups.get(r.client_id)
    if (group) group.push(r)
    else groups.set(r.client_id, [r])
  }
  return groups
}

/** Everything on the same-day list. */
export function safetyReasons(safety: SafetyResult): AttentionReason[] {
  const order = Object.keys(SAFETY_KINDS)
  return safety.today.flatMap((e) =>
    e.client_id === null
      ? []
      : reason(
          e.client_id,
          'look today',
          `${e.evidence} ${e.whoLooks}`,
          e.seriesIds,
          order.indexOf(e.kind),
          e.kind,
        ),
  )
}

function statusReason(s: SeriesStatus): AttentionReason[] {
  const { client_id, reflex, side, id, scaleMax } = s.series
  const name = named({ target: reflex, side })
  const last = `${score(s.last.score)} of ${scaleMax} on ${formatDay(s.last.day)}`
  switch (s.status) {
    case 'returned':
      return [
        reason(
          client_id,
          'returned',
          `${name}: absent from ${formatDay(s.integratedOn!)}, back on ${formatDay(s.backOn!)}; ${last}.`,
          [id],
        ),
      ]
    case 'rising':
      return [
        reason(
          client_id,
          'rising',
          `${name}: from ${score(s.baseline.occasion!.score)} on ${formatDay(s.baseline.occasion!.day)} to ${last}. ${s.note}`.trim(),
          [id],
        ),
      ]
    case 'integrated':
      return [
        reason(
          client_id,
          'integrated',
          `${name}: absent on every assessment since ${formatDay(s.integratedOn!)}, last assessed ${formatDay(s.last.day)}. For information.`,
          [id],
        ),
      ]
    default:
      return []
  }
}

/** Reasons that the statuses of series give, in their order: returned, rising and, for information, integrated. */
export const statusReasons = (statuses: StatusResult): AttentionReason[] =>
  statuses.series.flatMap(statusReason)

/** Running lines without a session 7 days after their start. */
export function notStartedReasons(log: Adherence): AttentionReason[] {
  return log.lines
    .filter(
      (l) => l.firstSessionOn === null && l.until === log.asOf && log.asOf - l.startsOn >= NOT_STARTED_DAYS,
    )
    .map((l) =>
      reason(
        l.client_id,
        'not started',
        `${named(l)}: started ${formatDay(l.startsOn)}, no session on record ${log.asOf - l.startsOn} days later.`,
        [l.id],
      ),
    )
}

/** Low adherence up to the last logged day, and, apart from it, no diary at all for 14 days. */
export function diaryReasons(log: Adherence): AttentionReason[] {
  return log.clients.flatMap((c) => {
    if (!c.running) return []
    const found: AttentionReason[] = []
    const { recent } = c
    if (recent !== null && recent.shareTouched < LOW_TOUCHED)
      found.push(
        reason(
          c.client_id,
          'low adherence',
          `${recent.touched} of ${recent.lineDays} line-days touched (${percent(recent.shareTouched)}) in the ${RECENT_DAYS} days with a running line from ${formatDay(recent.from)} to ${formatDay(recent.to)}.`,
        ),
      )
    // A pause between lines is no missing diary: the wait begins when the running line does.
    const silentFrom = Math.max(c.lastLoggedOn ?? c.runningSince!, c.runningSince! - 1)
    if (c.lastLoggedOn !== null && log.asOf - silentFrom >= LONG_BREAK_DAYS)
      found.push(
        reason(
          c.client_id,
          'no diary',
          `No diary for ${log.asOf - silentFrom} days: last record of a session on ${formatDay(c.lastLoggedOn)}. It may be a break, or a diary that was not sent.`,
        ),
      )
    return found
  })
}

/** No reliable change 12 weeks after the start, with the dose beside it. Reflexes that are age-appropriate are not stuck. */
export function stuckReasons(statuses: StatusResult, log: Adherence): AttentionReason[] {
  const stretches = stretchesBySeries(log.days)
  return statuses.series.flatMap((s) => {
    const { start, id, client_id, reflex, side } = s.series
    if (start === null || s.status !== 'no reliable change' || !s.judged) return []
    if (s.ageAtLast.standing === 'age-appropriate') return []
    if (log.asOf - start < STUCK_DAYS || s.last.day - start < STUCK_SCORED_DAYS) return []
    const dose = doseOver(log.days, stretches.get(id) ?? [], start, s.last.day)
    const done =
      dose.doseFraction === null
        ? 'no dose on record'
        : `dose ${percent(dose.doseFraction)} as logged${dose.doseFractionLoggedDays === null ? '' : `, ${percent(dose.doseFractionLoggedDays)} on logged days`}`
    return reason(
      client_id,
      'stuck',
      `${named({ target: reflex, side })}: ${score(s.baseline.occasion!.score)} before the start on ${formatDay(start)}, ${score(s.last.score)} on ${formatDay(s.last.day)}; no reliable change, ${done}.`,
      [id],
      // The least fallen first.
      0 - (s.changeSeverity ?? 0),
    )
  })
}

/** No assessment for more than 1.5 times the clinic's median visit gap while a programme runs. */
export function overdueReasons(
  records: Records,
  log: Adherence,
  gap: VisitGap,
  options: AsOf,
): AttentionReason[] {
  const visits = visitDays(records, options)
  return log.clients.flatMap((c) => {
    if (!c.running) return []
    const last = visits.get(c.client_id)?.at(-1)
    const since = last ?? c.startsOn
    if (log.asOf - since <= gap.overdueAfterDays) return []
    return reason(
      c.client_id,
      'overdue',
      last === undefined
        ? `Never assessed; the programme started ${log.asOf - since} days ago, on ${formatDay(since)}.`
        : `Last assessed ${log.asOf - since} days ago, on ${formatDay(since)}; overdue here is more than ${gap.overdueAfterDays} days.`,
    )
  })
}
