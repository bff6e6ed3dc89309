import { type AdherenceFigures, figuresOf } from './adherence-figures.ts'
import { addTo, SUM, SUMS, sumRun } from './adherence-sums.ts'
import type { ProgrammeDays } from './programme-days.ts'

/** One client in one week counted from the client's own first programme day. */
export interface ClientWeekAdherence extends AdherenceFigures {
  readonly client_id: string
  readonly week: number
  /** Delivered left and right, repetitions, over lines prescribed in repetitions. */
  readonly leftReps: number
  readonly rightReps: number
  /** left / right; null where nothing was delivered on the right. */
  readonly sideRatio: number | null
}

/** What one client's line-days of one week add up to. */
export interface ClientWeekSums {
  lineDays: number
  /** Sum over line-days of min(1, delivered ÷ prescribed). */
  dose: number
  /** Line-days with all prescribed sessions done. */
  inFull: number
  leftReps: number
  rightReps: number
}

/** Adds the line-days of stretch `s` to the weeks of its client. */
function addStretch(days: ProgrammeDays, s: number, table: Float64Array, run: Float64Array): void {
  const { client, segments } = days.stretches[s]!
  const start = days.clientFrom[client]!
  for (const segment of segments)
    for (let from = segment.from; from <= segment.until; ) {
      const week = Math.floor((from - start) / 7)
      const to = Math.min(segment.until, start + 7 * week + 6)
      sumRun(days, run, s, segment, from, to)
      addTo(table, week, run)
      from = to + 1
    }
}

/** Visits each client week that has a line-day, by client and week. The table is used again for the next client. */
function walkWeeks(
  days: ProgrammeDays,
  visit: (client: number, week: number, table: Float64Array) => void,
): void {
  const { stretches, clientFrom, clientUntil } = days
  const run = new Float64Array(SUMS)
  let table = new Float64Array(0)
  // Stretches come client by client.
  for (let s = 0; s < stretches.length; ) {
    const { client } = stretches[s]!
    const weeks = Math.ceil((clientUntil[client]! - clientFrom[client]! + 1) / 7)
    if (table.length < weeks * SUMS) table = new Float64Array(weeks * SUMS)
    else table.fill(0, 0, weeks * SUMS)
    for (; s < stretches.length && stretches[s]!.client === client; s++) addStretch(days, s, table, run)
    for (let week = 0; week < weeks; week++)
      if (table[week * SUMS + SUM.lineDays]! > 0) visit(client, week, table)
  }
}

/**
 * The client weeks of {@link clientWeeks} without an object for each: for caseloads whose weeks would not fit in memory.
 *
 * @param visit gets the place of the client in `days.programme.clientIds`, the week, and its sums, which hold only during the call
 */
export function eachClientWeek(
  days: ProgrammeDays,
  visit: (client: number, week: number, sums: Readonly<ClientWeekSums>) => void,
): void {
  const sums: ClientWeekSums = { lineDays: 0, dose: 0, inFull: 0, leftReps: 0, rightReps: 0 }
  walkWeeks(days, (client, week, table) => {
    const row = week * SUMS
    sums.lineDays = table[row + SUM.lineDays]!
    sums.dose = table[row + SUM.dose]!
    sums.inFull = table[row + SUM.inFull]!
    sums.leftReps = table[row + SUM.leftReps]!
    sums.rightReps = table[row + SUM.rightReps]!
    visit(client, week, sums)
  })
}

/** By client and week from the client's start; weeks without a line-day are left out. */
export function clientWeeks(days: ProgrammeDays): ClientWeekAdherence[] {
  const weeks: ClientWeekAdherence[] = []
  walkWeeks(days, (client, week, table) => {
    const leftReps = table[week * SUMS + SUM.leftReps]!
    const rightReps = table[week * SUMS + SUM.rightReps]!
    weeks.push({
      client_id: days.programme.clientIds[client]!,
      week,
      leftReps,
      rightReps,
      sideRatio: rightReps > 0 ? leftReps / rightReps : null,
      ...figuresOf(table, week),
    })
  })
  return weeks
}
