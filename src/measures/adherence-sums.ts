import { type Day, mondayOf } from '../records/index.ts'
import { dayDose, type ProgrammeDays } from './programme-days.ts'
import type { Segment } from './programme-stretches.ts'

/**
 * What a set of line-days adds up to, one row of {@link SUM} per set. A line-day is one day of one stretch (a
 * programme line, or overlapping lines taken together).
 */
export const SUM = {
  lineDays: 0,
  /** Line-days on which the client has a session on record. */
  loggedLineDays: 1,
  dose: 2,
  sessionShare: 3,
  inFull: 4,
  touched: 5,
  overDose: 6,
  sessionsDone: 7,
  sessionsPrescribed: 8,
  leftReps: 9,
  rightReps: 10,
  /** Lines (stretches) with a day in the set. */
  lines: 11,
} as const
export const SUMS = Object.keys(SUM).length

/** Delivered above this many times the prescribed dose is over-dose. */
export const OVER_DOSE = 1.5

export interface AdherenceSums {
  readonly perStretch: Float64Array
  readonly perClient: Float64Array
  /** Weeks from Monday; week w begins on `firstMonday + 7 w`. */
  readonly perCalendarWeek: Float64Array
  readonly firstMonday: Day
  /** Clients with a line-day in the calendar week. */
  readonly clientsPerCalendarWeek: Int32Array
  /** Week 0 is a line's first seven days. */
  readonly perProgrammeWeek: Float64Array
}

/** Adds a row of sums to another. */
export function addTo(target: Float64Array, at: number, row: Float64Array): void {
  for (let k = 0; k < SUMS; k++) target[at * SUMS + k]! += row[k]!
}

/** Sums over every programme day, by line, client and week of the caseload. One pass over the days. */
export function adherenceSums(days: ProgrammeDays): AdherenceSums {
  const { stretches } = days
  let first = days.asOf
  let longest = 0
  for (const s of stretches) {
    first = Math.min(first, s.from)
    longest = Math.max(longest, s.until - s.from + 1)
  }
  const firstMonday = mondayOf(first)
  const sums: AdherenceSums = {
    perStretch: new Float64Array(stretches.length * SUMS),
    perClient: new Float64Array(days.clientFrom.length * SUMS),
    perCalendarWeek: new Float64Array((Math.floor((days.asOf - firstMonday) / 7) + 1) * SUMS),
    firstMonday,
    clientsPerCalendarWeek: new Int32Array(Math.floor((days.asOf - firstMonday) / 7) + 1),
    perProgrammeWeek: new Float64Array(Math.ceil(longest / 7) * SUMS),
  }
  for (let s = 0; s < stretches.length; s++) sumStretch(days, sums, s)
  countClients(days, sums)
  return sums
}

/** Stretches come client by client, so a client new to a week differs from the last one seen there. */
function countClients(days: ProgrammeDays, sums: AdherenceSums): void {
  const lastSeen = new Int32Array(sums.clientsPerCalendarWeek.length).fill(-1)
  for (const { client, from, until } of days.stretches) {
    const last = Math.floor((until - sums.firstMonday) / 7)
    for (let week = Math.floor((from - sums.firstMonday) / 7); week <= last; week++) {
      if (lastSeen[week] === client) continue
      lastSeen[week] = client
      sums.clientsPerCalendarWeek[week]!++
    }
  }
}

/**
 * Walks one stretch in runs of days that share both kinds of week, so that the inner loop adds to one row and each
 * run is added up once.
 */
function sumStretch(days: ProgrammeDays, sums: AdherenceSums, s: number): void {
  const stretch = days.stretches[s]!
  const { perCalendarWeek, perProgrammeWeek } = sums
  const run = new Float64Array(SUMS)
  const whole = new Float64Array(SUMS)
  let week = -1
  let monday = -1
  for (const segment of stretch.segments) {
    for (let from = segment.from; from <= segment.until; ) {
      const calendar = Math.floor((from - sums.firstMonday) / 7)
      const programme = Math.floor((from - stretch.from) / 7)
      const to = Math.min(
        segment.until,
        sums.firstMonday + 7 * calendar + 6,
        stretch.from + 7 * programme + 6,
      )
      sumRun(days, run, s, segment, from, to)
      const inCalendar = calendar * SUMS
      const inProgramme = programme * SUMS
      for (let k = 0; k < SUMS; k++) {
        const sum = run[k]!
        whole[k]! += sum
        perCalendarWeek[inCalendar + k]! += sum
        perProgrammeWeek[inProgramme + k]! += sum
      }
      if (calendar !== monday) perCalendarWeek[inCalendar + SUM.lines]!++
      if (programme !== week) perProgrammeWeek[inProgramme + SUM.lines]!++
      monday = calendar
      week = programme
      from = to + 1
    }
  }
  whole[SUM.lines] = 1
  addTo(sums.perStretch, s, whole)
  addTo(sums.perClient, stretch.client, whole)
}

/** Sets `run` to the sums over the days `from` to `to` of one segment of stretch `s`; its lines to 0. */
export function sumRun(
  days: ProgrammeDays,
  run: Float64Array,
  s: number,
  segment: Segment,
  from: Day,
  to: Day,
): void {
  const { done, amount, logged } = days
  const { client, side, from: start } = days.stretches[s]!
  const shift = days.offset[s]! - start
  const logShift = days.clientOffset[client]! - days.clientFrom[client]!
  const { sessionsPerDay, amountPerDay } = segment
  let dose = 0
  let share = 0
  let full = 0
  let touched = 0
  let over = 0
  let sessions = 0
  let diary = 0
  let total = 0
  for (let day = from; day <= to; day++) {
    diary += logged[logShift + day]!
    const n = done[shift + day]!
    if (n === 0) continue
    touched++
    sessions += n
    if (n >= sessionsPerDay) {
      full++
      share++
    } else share += n / sessionsPerDay
    const delivered = amount[shift + day]!
    total += delivered
    dose += dayDose(delivered, amountPerDay)
    if (delivered > OVER_DOSE * amountPerDay) over++
  }
  const inReps = segment.unit === 'reps'
  run[SUM.lineDays] = to - from + 1
  run[SUM.loggedLineDays] = diary
  run[SUM.dose] = dose
  run[SUM.sessionShare] = share
  run[SUM.inFull] = full
  run[SUM.touched] = touched
  run[SUM.overDose] = over
  run[SUM.sessionsDone] = sessions
  run[SUM.sessionsPrescribed] = (to - from + 1) * sessionsPerDay
  run[SUM.leftReps] = inReps && side === 'left' ? total : 0
  run[SUM.rightReps] = inReps && side === 'right' ? total : 0
  run[SUM.lines] = 0
}

/** Dose delivered by a stretch over days that it runs. */
export function amountOver(days: ProgrammeDays, s: number, from: Day, to: Day): number {
  const shift = days.offset[s]! - days.stretches[s]!.from
  let total = 0
  for (let day = from; day <= to; day++) total += days.amount[shift + day]!
  return total
}
