import { type Day, DONE_BY, type Records, type SessionTable, SIDES, TARGETS } from '../records/index.ts'
import type { AsOf } from './as-of.ts'
import { clientSpans, type Places, placesOf } from './programme-places.ts'
import {
  COURSES_PER_CLIENT,
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
  /** 1 where the client has a session on that day, on or off the programme. */
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

const isWhole = (x: number): boolean => Number.isNaN(x) || (Number.isInteger(x) && Math.abs(x) < 2 ** 16)

/** Figures of a session that are not numbers are "not known". */
const figure = (x: number | null): number => x ?? Number.NaN

/** The session columns as numbers: one lookup a distinct value, so that the pass over the rows touches numbers only. */
function sessionNumbers(t: SessionTable, clientIds: readonly string[]) {
  const numbers = new Map(clientIds.map((id, i) => [id, i]))
  return {
    client: Int32Array.from(t.client_id.values, (id) => numbers.get(id) ?? -1),
    day: Int32Array.from(t.done_on.values),
    target: Int32Array.from(t.target.values, (x) => TARGETS.indexOf(x) * SIDES.length),
    side: Int32Array.from(t.side.values, (x) => SIDES.indexOf(x)),
    who: Int32Array.from(t.done_by.values, (x) => WHO.indexOf(x)),
    reps: Float64Array.from(t.reps.values, figure),
    seconds: Float64Array.from(t.seconds.values, figure),
  }
}

function emptyDays(programme: Programme, asOf: Day, p: Places, exact: boolean): ProgrammeDays {
  const span = clientSpans(programme)
  const n = programme.stretches.length
  return {
    asOf,
    programme,
    stretches: programme.stretches,
    offset: p.offset,
    done: new Uint16Array(p.days),
    amount: exact ? new Float32Array(p.days) : new Float64Array(p.days),
    totals: {
      sessions: new Float64Array(n),
      reps: new Float64Array(n),
      seconds: new Float64Array(n),
      withoutFigure: new Float64Array(n),
      byWho: new Float64Array(n * WHO.length),
    },
    clientFrom: span.from,
    clientUntil: span.until,
    clientOffset: span.offset,
    logged: new Uint8Array(span.days),
    lastLogged: [],
    sessionsRead: 0,
    sessionsOffProgramme: 0,
    sessionsAfterAsOf: 0,
    sessionsOfUnknownClient: 0,
  }
}

/** The pass over the rows. Fills the arrays of `days` and returns the counts. */
function laySessions(t: SessionTable, x: ReturnType<typeof sessionNumbers>, p: Places, days: ProgrammeDays) {
  const { asOf, done, amount, logged, clientFrom, clientUntil, clientOffset, totals } = days
  const clientCodes = t.client_id.codes
  const dayCodes = t.done_on.codes
  const targetCodes = t.target.codes
  const sideCodes = t.side.codes
  const whoCodes = t.done_by.codes
  const repsCodes = t.reps.codes
  const secondsCodes = t.seconds.codes
  const lastLogged = new Int32Array(clientFrom.length).fill(NEVER)
  let off = 0
  let after = 0
  let unknown = 0
  for (let i = 0; i < t.length; i++) {
    const c = x.client[clientCodes[i]!]!
    const d = x.day[dayCodes[i]!]!
    if (d > asOf) {
      after++
      continue
    }
    if (c < 0) {
      unknown++
      continue
    }
    if (d > lastLogged[c]!) lastLogged[c] = d
    const from = clientFrom[c]!
    if (d >= from && d <= clientUntil[c]!) logged[clientOffset[c]! + d - from] = 1
    const course = c * COURSES_PER_CLIENT + x.target[targetCodes[i]!]! + x.side[sideCodes[i]!]!
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
    totals.byWho[s * WHO.length + x.who[whoCodes[i]!]!]!++
    const r = x.reps[repsCodes[i]!]!
    const q = x.seconds[secondsCodes[i]!]!
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
  return { lastLogged, off, after, unknown }
}

/**
 * Lays the sessions up to the as-of day on the programme's days.
 *
 * A session belongs to the running lines of its client, target and side on its day; one that has none is off the
 * programme and only shows that there was a diary that day. A session without a figure counts as prescribed and is counted.
 */
export function programmeDays(records: Records, options: AsOf): ProgrammeDays {
  const programme = programmeStretches(records, options)
  const places = placesOf(programme)
  const t = records.sessions
  const numbers = sessionNumbers(t, programme.clientIds)
  // Whole numbers add exactly in 32 bits at half the memory.
  const exact = [numbers.reps, numbers.seconds, places.segmentPerSession].every((xs) => xs.every(isWhole))
  const days = emptyDays(programme, options.asOf, places, exact)
  const { lastLogged, off, after, unknown } = laySessions(t, numbers, places, days)
  return {
    ...days,
    lastLogged: Array.from(lastLogged, (d) => (d === NEVER ? null : d)),
    sessionsRead: t.length,
    sessionsOffProgramme: off,
    sessionsAfterAsOf: after,
    sessionsOfUnknownClient: unknown,
  }
}

/** Share of the prescribed dose on a day, at most 1: overdoing one day never pays for another. */
export const dayDose = (amount: number, amountPerDay: number): number => Math.min(1, amount / amountPerDay)
