import { type Column, type Day, DONE_BY, type Records, SIDES, TARGETS } from '../records/index.ts'
import type { AsOf } from './as-of.ts'
import {
  COURSES_PER_CLIENT,
  courseNumber,
  type Programme,
  programmeStretches,
  type Stretch,
} from './programme-stretches.ts'

/** Who did a session, in the order of the counts; the last is "not recorded". */
export const WHO = [...DONE_BY, null] as const

/** What the sessions of one stretch add up to. */
export interface StretchTotals {
  readonly sessions: Float64Array
  /** Sums of the known figures. */
  readonly reps: Float64Array
  readonly seconds: Float64Array
  /** Sessions without a figure in the dose's unit, counted as prescribed. */
  readonly withoutFigure: Float64Array
  /** stretch × {@link WHO}. */
  readonly byWho: Float64Array
}

/**
 * Every programme day with what was done on it. Day d of stretch s stands at `offset[s] + d - stretches[s].from`.
 * Built by one pass over the session codes; the records' sessions are then no longer needed.
 */
export interface ProgrammeDays extends AsOf {
  readonly programme: Programme
  readonly stretches: readonly Stretch[]
  readonly offset: Int32Array
  /** Sessions done; stays at 65,535 beyond that. */
  readonly done: Uint16Array
  /** Delivered in the segment's dose unit, a session without a figure counted as prescribed. */
  readonly amount: Float32Array | Float64Array
  readonly totals: StretchTotals
  /** First programme day of each client; clients without a programme have from > until. */
  readonly clientFrom: Int32Array
  readonly clientUntil: Int32Array
  readonly clientOffset: Int32Array
  /** 1 where the client has any session on that day, on or off the programme. */
  readonly logged: Uint8Array
  /** Last day up to the as-of day with any session of the client; null without one. */
  readonly lastLogged: readonly (Day | null)[]
  readonly sessionsRead: number
  /** Sessions on no running line of their client, target and side. They count nowhere but as a day with a diary. */
  readonly sessionsOffProgramme: number
  readonly sessionsAfterAsOf: number
  readonly sessionsOfUnknownClient: number
}

const NEVER = -(2 ** 31)

interface Places {
  readonly offset: Int32Array
  readonly days: number
  readonly segmentFrom: Int32Array
  readonly segmentUntil: Int32Array
  readonly segmentOffset: Int32Array
  readonly segmentStretch: Int32Array
  readonly segmentUnit: Uint8Array
  readonly segmentPerSession: Float64Array
  /** First segment of a course, and the one after its last. */
  readonly courseFirst: Int32Array
  readonly courseEnd: Int32Array
}

const UNITS = ['reps', 'seconds', 'sessions'] as const

function placesOf(programme: Programme): Places {
  const { stretches } = programme
  const count = stretches.reduce((n, s) => n + s.segments.length, 0)
  const courses = programme.clientIds.length * COURSES_PER_CLIENT
  const places = {
    offset: new Int32Array(stretches.length),
    days: 0,
    segmentFrom: new Int32Array(count),
    segmentUntil: new Int32Array(count),
    segmentOffset: new Int32Array(count),
    segmentStretch: new Int32Array(count),
    segmentUnit: new Uint8Array(count),
    segmentPerSession: new Float64Array(count),
    courseFirst: new Int32Array(courses),
    courseEnd: new Int32Array(courses),
  }
  let segment = 0
  stretches.forEach((stretch, s) => {
    places.offset[s] = places.days
    const course = courseNumber(stretch.client, stretch.target, stretch.side)
    if (places.courseEnd[course] === 0) places.courseFirst[course] = segment
    for (const one of stretch.segments) {
      places.segmentFrom[segment] = one.from
      places.segmentUntil[segment] = one.until
      places.segmentOffset[segment] = places.days + one.from - stretch.from
      places.segmentStretch[segment] = s
      places.segmentUnit[segment] = UNITS.indexOf(one.unit)
      places.segmentPerSession[segment] = one.amountPerSession
      segment++
    }
    places.courseEnd[course] = segment
    places.days += stretch.until - stretch.from + 1
  })
  return places
}

function clientSpans(programme: Programme) {
  const n = programme.clientIds.length
  const from = new Int32Array(n).fill(1)
  const until = new Int32Array(n).fill(0)
  const seen = new Uint8Array(n)
  for (const s of programme.stretches) {
    from[s.client] = seen[s.client] ? Math.min(from[s.client]!, s.from) : s.from
    until[s.client] = seen[s.client] ? Math.max(until[s.client]!, s.until) : s.until
    seen[s.client] = 1
  }
  const offset = new Int32Array(n)
  let days = 0
  for (let c = 0; c < n; c++) {
    offset[c] = days
    days += until[c]! - from[c]! + 1
  }
  return { from, until, offset, days }
}

/** One number per distinct value, so that the pass over the rows touches numbers only. */
const perValue = <T>(column: Column<T>, number: (value: T) => number): Float64Array =>
  Float64Array.from(column.values, number)

const isWhole = (x: number): boolean => Number.isNaN(x) || (Number.isInteger(x) && Math.abs(x) < 2 ** 16)

/** Figures of a session that are not numbers are "not known". */
const figure = (x: number | null): number => x ?? Number.NaN

/**
 * Lays the sessions up to the as-of day on the programme's days.
 *
 * A session belongs to the running lines of its client, target and side on its day; one that has none is off the
 * programme and only shows that there was a diary that day. A session without a figure counts as prescribed and is counted.
 */
export function programmeDays(records: Records, options: AsOf): ProgrammeDays {
  const { asOf } = options
  const programme = programmeStretches(records, options)
  const p = placesOf(programme)
  const span = clientSpans(programme)
  const t = records.sessions
  const numbers = new Map(programme.clientIds.map((id, i) => [id, i]))
  const client = Int32Array.from(t.client_id.values, (id) => numbers.get(id) ?? -1)
  const day = Int32Array.from(t.done_on.values)
  const target = Int32Array.from(t.target.values, (x) => TARGETS.indexOf(x) * SIDES.length)
  const side = Int32Array.from(t.side.values, (x) => SIDES.indexOf(x))
  const who = Int32Array.from(t.done_by.values, (x) => WHO.indexOf(x))
  const reps = perValue(t.reps, figure)
  const seconds = perValue(t.seconds, figure)
  // Whole numbers add exactly in 32 bits at half the memory.
  const exact = reps.every(isWhole) && seconds.every(isWhole) && p.segmentPerSession.every(isWhole)
  const amount = exact ? new Float32Array(p.days) : new Float64Array(p.days)
  const done = new Uint16Array(p.days)
  const logged = new Uint8Array(span.days)
  const lastLogged = new Int32Array(numbers.size).fill(NEVER)
  const stretchCount = programme.stretches.length
  const totals = {
    sessions: new Float64Array(stretchCount),
    reps: new Float64Array(stretchCount),
    seconds: new Float64Array(stretchCount),
    withoutFigure: new Float64Array(stretchCount),
    byWho: new Float64Array(stretchCount * WHO.length),
  }
  let off = 0
  let after = 0
  let unknown = 0
  for (let i = 0; i < t.length; i++) {
    const c = client[t.client_id.codes[i]!]!
    const d = day[t.done_on.codes[i]!]!
    if (d > asOf) {
      after++
      continue
    }
    if (c < 0) {
      unknown++
      continue
    }
    if (d > lastLogged[c]!) lastLogged[c] = d
    if (d >= span.from[c]! && d <= span.until[c]!) logged[span.offset[c]! + d - span.from[c]!] = 1
    const course = c * COURSES_PER_CLIENT + target[t.target.codes[i]!]! + side[t.side.codes[i]!]!
    const end = p.courseEnd[course]!
    let g = p.courseFirst[course]!
    while (g < end && p.segmentUntil[g]! < d) g++
    if (g >= end || p.segmentFrom[g]! > d) {
      off++
      continue
    }
    const place = p.segmentOffset[g]! + d - p.segmentFrom[g]!
    const s = p.segmentStretch[g]!
    if (done[place]! < 65535) done[place]!++
    totals.sessions[s]!++
    totals.byWho[s * WHO.length + who[t.done_by.codes[i]!]!]!++
    const r = reps[t.reps.codes[i]!]!
    const q = seconds[t.seconds.codes[i]!]!
    if (!Number.isNaN(r)) totals.reps[s]! += r
    if (!Number.isNaN(q)) totals.seconds[s]! += q
    const unit = p.segmentUnit[g]!
    const known = unit === 0 ? r : unit === 1 ? q : 1
    if (!Number.isNaN(known)) amount[place]! += known
    else {
      amount[place]! += p.segmentPerSession[g]!
      totals.withoutFigure[s]!++
    }
  }
  return {
    asOf,
    programme,
    stretches: programme.stretches,
    offset: p.offset,
    done,
    amount,
    totals,
    clientFrom: span.from,
    clientUntil: span.until,
    clientOffset: span.offset,
    logged,
    lastLogged: Array.from(lastLogged, (d) => (d === NEVER ? null : d)),
    sessionsRead: t.length,
    sessionsOffProgramme: off,
    sessionsAfterAsOf: after,
    sessionsOfUnknownClient: unknown,
  }
}

/** Share of the prescribed dose on a day, at most 1: overdoing one day never pays for another. */
export const dayDose = (amount: number, amountPerDay: number): number => Math.min(1, amount / amountPerDay)
