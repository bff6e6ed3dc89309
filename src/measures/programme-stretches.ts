import {
  type Client,
  type Day,
  type ProgrammeLine,
  type Records,
  SIDES,
  type Side,
  TARGETS,
  type Target,
} from '../records/index.ts'
import type { AsOf } from './as-of.ts'
import { type Exclusion, ExclusionTally } from './result.ts'

/** What a day's dose is counted in: repetitions; seconds where no repetitions are prescribed; else sessions. */
export type DoseUnit = 'reps' | 'seconds' | 'sessions'

/** Days on which the same lines run, so that the prescription is constant. */
export interface Segment {
  readonly from: Day
  readonly until: Day
  readonly sessionsPerDay: number
  /** null where a running line prescribes none. */
  readonly repsPerDay: number | null
  readonly secondsPerDay: number | null
  readonly unit: DoseUnit
  readonly amountPerDay: number
  /** What a session without a figure counts as. */
  readonly amountPerSession: number
}

/**
 * One programme line, or several of one client, target and side that overlap, taken together: what they prescribe is
 * summed, and each session counts once. Both days included.
 */
export interface Stretch {
  readonly client_id: string
  /** Number of the client in {@link Programme.clientIds}. */
  readonly client: number
  readonly target: Target
  readonly side: Side
  readonly from: Day
  readonly until: Day
  readonly lines: readonly ProgrammeLine[]
  readonly segments: readonly Segment[]
}

export interface Programme {
  /** Every client in the records, and any other who has a line, in order of the clients table. */
  readonly clientIds: readonly string[]
  /** By client, target, side, day. */
  readonly stretches: readonly Stretch[]
  /** Lines read, and those that have no day up to the as-of day, by reason. */
  readonly linesRead: number
  readonly linesUsed: number
  readonly linesExcluded: readonly Exclusion[]
}

interface Running {
  readonly line: ProgrammeLine
  readonly until: Day
}

function segmentOf(from: Day, until: Day, running: readonly Running[]): Segment {
  let sessions = 0
  let reps: number | null = 0
  let seconds: number | null = 0
  for (const { line } of running) {
    const n = line.sessions_per_day
    sessions += n
    reps = reps === null || line.reps_per_session === null ? null : reps + n * line.reps_per_session
    seconds =
      seconds === null || line.seconds_per_session === null ? null : seconds + n * line.seconds_per_session
  }
  const unit: DoseUnit = (reps ?? 0) > 0 ? 'reps' : (seconds ?? 0) > 0 ? 'seconds' : 'sessions'
  const amountPerDay = unit === 'reps' ? reps! : unit === 'seconds' ? seconds! : sessions
  return {
    from,
    until,
    sessionsPerDay: sessions,
    repsPerDay: reps,
    secondsPerDay: seconds,
    unit,
    amountPerDay,
    amountPerSession: amountPerDay / sessions,
  }
}

function segmentsOf(running: readonly Running[]): Segment[] {
  const only = running[0]!
  if (running.length === 1) return [segmentOf(only.line.starts_on, only.until, running)]
  const edges = [...new Set(running.flatMap((r) => [r.line.starts_on, r.until + 1]))].sort((a, b) => a - b)
  return edges.slice(0, -1).map((from, i) =>
    segmentOf(
      from,
      edges[i + 1]! - 1,
      running.filter((r) => r.line.starts_on <= from && r.until >= from),
    ),
  )
}

/** Stretches of one client, target and side. */
function stretchesOf(running: Running[], client: number): Stretch[] {
  running.sort((a, b) => a.line.starts_on - b.line.starts_on)
  const stretches: Stretch[] = []
  for (let i = 0; i < running.length; ) {
    const { line } = running[i]!
    const together: Running[] = []
    let until = line.starts_on
    for (; i < running.length && (together.length === 0 || running[i]!.line.starts_on <= until); i++) {
      together.push(running[i]!)
      until = Math.max(until, running[i]!.until)
    }
    stretches.push({
      client_id: line.client_id,
      client,
      target: line.target,
      side: line.side,
      from: line.starts_on,
      until,
      lines: together.map((r) => r.line),
      segments: segmentsOf(together),
    })
  }
  return stretches
}

/** Last day of a line: the earliest of its end, the client's discharge and the as-of day. */
const lastDay = (line: ProgrammeLine, client: Client | undefined, asOf: Day): Day =>
  Math.min(line.ends_on ?? asOf, client?.discharged_on ?? asOf, asOf)

function whyLeftOut(line: ProgrammeLine, until: Day, asOf: Day): string | null {
  if (line.starts_on > asOf) return 'starts after the as-of day'
  if (until < line.starts_on) return 'ended, or the client left, before it began'
  if (!(line.sessions_per_day > 0)) return 'prescribes no sessions'
  return null
}

/** How many targets and sides a client may have. */
export const COURSES_PER_CLIENT = TARGETS.length * SIDES.length
/** Place of a client (by number), target and side in a table of clients × targets × sides. */
export const courseNumber = (client: number, target: Target, side: Side): number =>
  client * COURSES_PER_CLIENT + TARGETS.indexOf(target) * SIDES.length + SIDES.indexOf(side)

/** The programme as stretches of days, from the lines as they stand. */
export function programmeStretches(records: Records, { asOf }: AsOf): Programme {
  const numbers = new Map<string, number>()
  for (const c of records.clients) if (!numbers.has(c.client_id)) numbers.set(c.client_id, numbers.size)
  const clientOf = new Map(records.clients.map((c) => [c.client_id, c]))
  const left = new ExclusionTally()
  const courses = new Map<number, Running[]>()
  let used = 0
  for (const line of records.programmes) {
    const until = lastDay(line, clientOf.get(line.client_id), asOf)
    const why = whyLeftOut(line, until, asOf)
    if (!numbers.has(line.client_id)) numbers.set(line.client_id, numbers.size)
    if (why !== null) {
      left.add(why)
      continue
    }
    used++
    const course = courseNumber(numbers.get(line.client_id)!, line.target, line.side)
    const running = courses.get(course)
    if (running) running.push({ line, until })
    else courses.set(course, [{ line, until }])
  }
  const ordered = [...courses].sort(([a], [b]) => a - b)
  return {
    clientIds: [...numbers.keys()],
    stretches: ordered.flatMap(([course, running]) =>
      stretchesOf(running, Math.floor(course / COURSES_PER_CLIENT)),
    ),
    linesRead: records.programmes.length,
    linesUsed: used,
    linesExcluded: left.list(),
  }
}
