import {
  type Day,
  type ProgrammeLine,
  type Reaction,
  type Records,
  type Reflex,
  type Side,
  type Target,
  valueAt,
} from '../records/index.ts'
import { type AsOf, clientsById } from './as-of.ts'
import type { ProgrammeDays } from './programme-days.ts'
import { dayDose } from './programme-days.ts'
import { type ReactionEvent, reactionEvents } from './reaction-events.ts'
import type { Series } from './series.ts'

/** One programme line on the timeline, as prescribed. */
export interface TimelineLine {
  readonly target: Target
  readonly side: Side
  readonly from: Day
  /** The earliest of its end, discharge and the as-of day. */
  readonly to: Day
  /** What was prescribed, in words. */
  readonly dose: string
  readonly line: ProgrammeLine
}

/** Everything about one client on one time axis. */
export interface ClientTimeline {
  readonly lines: readonly TimelineLine[]
  /** Highest level of the device on each day that has one. */
  readonly intensities: readonly { readonly day: Day; readonly intensity: number }[]
  readonly scores: readonly {
    readonly reflex: Reflex
    readonly side: Side
    readonly day: Day
    readonly severity: number
  }[]
  readonly reactions: readonly (ReactionEvent & { readonly reaction: Reaction })[]
  /** Each day from the first programme day to the last. */
  readonly days: readonly TimelineDay[]
}

export interface TimelineDay {
  readonly day: Day
  /** Mean dose fraction over the lines that run; null where none does. */
  readonly dose: number | null
  /** True where the client has a session on record. */
  readonly logged: boolean
}

const counted = (n: number, one: string): string => `${n} ${one}${n === 1 ? '' : 's'}`

/** A line's prescription in words: "3 sessions a day, 20 repetitions, brush". */
export function doseInWords(line: ProgrammeLine): string {
  return [
    `${counted(line.sessions_per_day, 'session')} a day`,
    line.reps_per_session === null ? '' : counted(line.reps_per_session, 'repetition'),
    line.seconds_per_session === null ? '' : counted(line.seconds_per_session, 'second'),
    line.stimulus ?? '',
    line.intensity === null ? '' : `level ${line.intensity}`,
  ]
    .filter(Boolean)
    .join(', ')
}

function linesOf(records: Records, id: string, asOf: Day): TimelineLine[] {
  const gone = clientsById(records).get(id)?.discharged_on ?? asOf
  return records.programmes
    .filter((line) => line.client_id === id && line.starts_on <= asOf)
    .map((line) => ({
      target: line.target,
      side: line.side,
      from: line.starts_on,
      to: Math.min(line.ends_on ?? asOf, gone, asOf),
      dose: doseInWords(line),
      line,
    }))
    .filter((l) => l.to >= l.from)
    .sort((a, b) => a.from - b.from)
}

function intensitiesOf(records: Records, id: string, asOf: Day): ClientTimeline['intensities'] {
  const t = records.sessions
  const code = t.client_id.values.indexOf(id)
  const highest = new Map<Day, number>()
  for (let i = 0; code >= 0 && i < t.length; i++) {
    if (t.client_id.codes[i] !== code) continue
    const intensity = valueAt(t.intensity, i)
    const day = valueAt(t.done_on, i)
    if (intensity === null || day > asOf) continue
    highest.set(day, Math.max(highest.get(day) ?? intensity, intensity))
  }
  return [...highest].sort(([a], [b]) => a - b).map(([day, intensity]) => ({ day, intensity }))
}

/**
 * Mean dose of one client's running lines, day by day, as a share of what was prescribed (0 to 1); null on a day without a line, and none
 * for a client without a programme.
 */
export function clientDays(days: ProgrammeDays, id: string): TimelineDay[] {
  const client = days.programme.clientIds.indexOf(id)
  if (client < 0) return []
  const from = days.clientFrom[client]!
  const length = days.clientUntil[client]! - from + 1
  const dose = new Float64Array(length)
  const running = new Int32Array(length)
  days.stretches.forEach((stretch, s) => {
    if (stretch.client !== client) return
    const shift = days.offset[s]! - stretch.from
    for (const g of stretch.segments)
      for (let day = g.from; day <= g.until; day++) {
        dose[day - from]! += dayDose(days.amount[shift + day]!, g.amountPerDay)
        running[day - from]!++
      }
  })
  return Array.from({ length }, (_, i) => ({
    day: from + i,
    dose: running[i] === 0 ? null : dose[i]! / running[i]!,
    logged: days.logged[days.clientOffset[client]! + i] === 1,
  }))
}

/**
 * What is on record of one client up to the as-of day, each as days since 1970-01-01: prescribed lines and their intensities, scores as
 * severity (0 to 1), reactions, and the dose of each day.
 *
 * @param series the client's own
 */
export function clientTimeline(
  records: Records,
  id: string,
  series: readonly Series[],
  days: ProgrammeDays,
  options: AsOf,
): ClientTimeline {
  return {
    lines: linesOf(records, id, options.asOf),
    intensities: intensitiesOf(records, id, options.asOf),
    scores: series.flatMap((s) =>
      s.occasions.map((o) => ({ reflex: s.reflex, side: s.side, day: o.day, severity: o.severity })),
    ),
    reactions: reactionEvents(records.sessions, options).events.filter((e) => e.client_id === id),
    days: clientDays(days, id),
  }
}
