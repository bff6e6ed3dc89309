import type { Day } from '../records/index.ts'
import { type AdherenceFigures, figuresOf } from './adherence-figures.ts'
import { type AdherenceSums, SUM, SUMS } from './adherence-sums.ts'

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
