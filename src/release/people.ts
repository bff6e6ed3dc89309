import type { Series } from '../measures/index.ts'
import {
  type Client,
  chronologicalAgeMonths,
  DAYS_PER_MONTH,
  type Day,
  type Records,
  valueAt,
} from '../records/index.ts'
import type { ClinicView } from './clinic-view.ts'
import { finestValues } from './hierarchy.ts'
import type { Subject } from './lattice.ts'

/** A consenting client as the release sees them. */
export interface Person {
  readonly client: Client
  /** The person's own day 0: the first programme start, else the first score, else enrolment. */
  readonly start: Day | null
  readonly monthsFollowed: number | null
  readonly series: readonly Series[]
  readonly subject: Subject
}

/** Last day of a session of each client up to the as-of day. */
function lastSessions({ sessions }: Records, asOf: Day): Map<string, Day> {
  const last = new Map<string, Day>()
  for (let i = 0; i < sessions.length; i++) {
    const day = valueAt(sessions.done_on, i)
    if (day > asOf) continue
    const id = valueAt(sessions.client_id, i)
    if (day > (last.get(id) ?? -Infinity)) last.set(id, day)
  }
  return last
}

/** Quarters of the scale, for the sensitive value: how strong the reflexes were at the start. */
const severityBand = (severity: number | null): string =>
  severity === null
    ? 'not known'
    : severity === 0
      ? 'absent'
      : `${Math.min(3, Math.floor(severity * 4)) * 25} to ${Math.min(3, Math.floor(severity * 4)) * 25 + 25} %`

/** Mean severity over a person's series at their last occasion up to the start, else their first. */
function startingSeverity(series: readonly Series[], start: Day | null): number | null {
  if (series.length === 0) return null
  const values = series.map(
    (s) => (s.occasions.findLast((o) => start !== null && o.day <= start) ?? s.occasions[0]!).severity,
  )
  return values.reduce((a, b) => a + b, 0) / values.length
}

/**
 * The clients who consented to research, with their own day 0 and the values by which they might be known.
 * Sorted by client, so that nothing depends on the order of the files.
 */
export function consentingPeople({ records, asOf, series: all }: ClinicView): Person[] {
  const sessions = lastSessions(records, asOf)
  const seriesOf = new Map<string, Series[]>()
  for (const s of all) {
    const own = seriesOf.get(s.client_id)
    if (own) own.push(s)
    else seriesOf.set(s.client_id, [s])
  }
  const starts = new Map<string, Day>()
  for (const { client_id, starts_on } of records.programmes)
    if (starts_on <= asOf) starts.set(client_id, Math.min(starts_on, starts.get(client_id) ?? Infinity))
  return records.clients
    .filter((c) => c.research_consent === 'yes')
    .toSorted((a, b) => (a.client_id < b.client_id ? -1 : a.client_id > b.client_id ? 1 : 0))
    .map((client) => {
      const series = seriesOf.get(client.client_id) ?? []
      const scored = series.flatMap((s) => s.occasions.map((o) => o.day))
      const firstScore = scored.length > 0 ? Math.min(...scored) : null
      const start = starts.get(client.client_id) ?? firstScore ?? client.enrolled_on
      const last = Math.max(sessions.get(client.client_id) ?? -Infinity, ...scored)
      const first = Math.min(start ?? Infinity, firstScore ?? Infinity)
      return {
        client,
        start,
        monthsFollowed:
          Number.isFinite(last) && Number.isFinite(first)
            ? Math.max(0, Math.floor((last - first) / DAYS_PER_MONTH))
            : null,
        series,
        subject: {
          finest: finestValues(client, start === null ? null : chronologicalAgeMonths(client, start)),
          sensitive: severityBand(startingSeverity(series, start)),
        },
      }
    })
}
