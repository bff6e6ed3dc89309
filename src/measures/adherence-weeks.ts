import type { Day } from '../records/index.ts'
import { type AdherenceFigures, figuresOf } from './adherence-figures.ts'
import { type AdherenceSums, SUM, SUMS } from './adherence-sums.ts'
import type { ProgrammeDays } from './programme-days.ts'

/** The whole caseload in one week. */
export interface WeekAdherence extends AdherenceFigures {
  /** Number of the week from 0. */
  readonly week: number
  /** The Monday of a calendar week; null for a programme week. */
  readonly monday: Day | null
  /** Lines with a day in the week. */
  readonly lines: number
  /** Clients with a line-day in a calendar week; null for a programme week. */
  readonly clients: number | null
}

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

function weeks(
  table: Float64Array,
  of: (week: number) => Pick<WeekAdherence, 'monday' | 'clients'>,
): WeekAdherence[] {
  const rows: WeekAdherence[] = []
  for (let week = 0; week < table.length / SUMS; week++) {
    const lines = table[week * SUMS + SUM.lines]!
    if (lines > 0) rows.push({ week, ...of(week), lines, ...figuresOf(table, week) })
  }
  return rows
}

/** By calendar week, from Monday; weeks in which no line runs are left out. */
export const calendarWeeks = (sums: AdherenceSums): WeekAdherence[] =>
  weeks(sums.perCalendarWeek, (week) => ({
    monday: sums.firstMonday + 7 * week,
    clients: sums.clientsPerCalendarWeek[week]!,
  }))

/** By programme week: week 0 is a line's first seven days. */
export const programmeWeeks = (sums: AdherenceSums): WeekAdherence[] =>
  weeks(sums.perProgrammeWeek, () => ({ monday: null, clients: null }))

/** By client and week from the client's start; weeks without a line-day are left out. */
export function clientWeeks(days: ProgrammeDays, sums: AdherenceSums): ClientWeekAdherence[] {
  const rows: ClientWeekAdherence[] = []
  const table = sums.perClientWeek
  for (let c = 0; c < days.clientFrom.length; c++)
    for (let row = sums.clientWeek[c]!; row < sums.clientWeek[c + 1]!; row++) {
      if (table[row * SUMS + SUM.lineDays] === 0) continue
      const leftReps = table[row * SUMS + SUM.leftReps]!
      const rightReps = table[row * SUMS + SUM.rightReps]!
      rows.push({
        client_id: days.programme.clientIds[c]!,
        week: row - sums.clientWeek[c]!,
        leftReps,
        rightReps,
        sideRatio: rightReps > 0 ? leftReps / rightReps : null,
        ...figuresOf(table, row),
      })
    }
  return rows
}
