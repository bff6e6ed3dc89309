import type { Series } from '../measures/index.ts'
import {
  type Client,
  chronologicalAgeMonths,
  DAYS_PER_MONTH,
  type Day,
  type ProgrammeLine,
  type Records,
  type Reflex,
  valueAt,
} from '../records/index.ts'
import { finestValues } from './hierarchy.ts'
import type { Subject } from './lattice.ts'

/** A consenting client as the release sees them. */
export interface Person {
  readonly client: Client
  /** The person's own day 0: the first programme start, else the first score, else enrolment. */
  readonly start: Day | null
  readonly monthsFollowed: number | null
  /** Days of a score, counted from the start, without repeats. */
  readonly days: readonly number[]
  readonly reflexes: readonly Reflex[]
  /** Who scored the person, sorted; those who are not known are left out. */
  readonly raters: readonly string[]
  readonly subject: Subject
}

/** Last day of a session of each client up to the as-of day. */
export function lastSessions({ sessions }: Records, asOf: Day): Map<string, Day> {
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

function ratersOf(series: readonly Series[]): string[] {
  const all = new Set<string>()
  for (const s of series) for (const { rater } of s.scores) if (rater !== null) all.add(rater)
  return [...all].sort()
}

/** Lists that many people share, each kept once: a large caseload has few of them. */
export class SharedLists {
  readonly #known = new Map<string, readonly string[]>()

  of<T extends string>(list: readonly T[]): readonly T[] {
    const key = JSON.stringify(list)
    const known = this.#known.get(key)
    if (known) return known as readonly T[]
    this.#known.set(key, list)
    return list
  }
}

/** A client with the values by which they might be known. */
export function personOf({
  client,
  programmes,
  series,
  lastSession,
  asOf,
  shared,
}: {
  readonly client: Client
  readonly programmes: readonly ProgrammeLine[]
  readonly series: readonly Series[]
  readonly lastSession: Day | undefined
  readonly asOf: Day
  readonly shared: SharedLists
}): Person {
  const scored = [...new Set(series.flatMap((s) => s.occasions.map((o) => o.day)))]
  const firstScore = scored.length > 0 ? Math.min(...scored) : null
  const starts = programmes.map((p) => p.starts_on).filter((day) => day <= asOf)
  const start = starts.length > 0 ? Math.min(...starts) : (firstScore ?? client.enrolled_on)
  const last = Math.max(lastSession ?? -Infinity, ...scored)
  const first = Math.min(start ?? Infinity, firstScore ?? Infinity)
  return {
    client,
    start,
    monthsFollowed:
      Number.isFinite(last) && Number.isFinite(first)
        ? Math.max(0, Math.floor((last - first) / DAYS_PER_MONTH))
        : null,
    days: scored.map((day) => day - (start ?? day)),
    reflexes: shared.of([...new Set(series.map((s) => s.reflex))]),
    raters: shared.of(ratersOf(series)),
    subject: {
      finest: shared.of(finestValues(client, start === null ? null : chronologicalAgeMonths(client, start))),
      sensitive: severityBand(startingSeverity(series, start)),
    },
  }
}
