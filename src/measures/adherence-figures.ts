import { SUM, SUMS } from './adherence-sums.ts'

/** A day without any record of the client may be a day without exercise or a day without a diary: both readings. */
export interface BothReadings {
  /** Days without a diary count as not done. */
  readonly asLogged: number | null
  /** Only days on which the client has a session on record. */
  readonly loggedDaysOnly: number | null
}

/** Adherence over a set of line-days. Shares are 0 to 1; null where there is no day to divide by. */
export interface AdherenceFigures {
  readonly lineDays: number
  readonly loggedLineDays: number
  /** Mean over line-days of min(1, delivered / prescribed) of repetitions, or seconds, or else sessions. */
  readonly doseFraction: BothReadings
  /** Mean over line-days of min(1, sessions done / prescribed). */
  readonly sessionShare: BothReadings
  /** Share of line-days with all prescribed sessions done. */
  readonly daysInFull: BothReadings
  /** Share of line-days with at least one session. */
  readonly daysTouched: BothReadings
  /** Share of line-days with more than 1.5 times the prescribed dose. */
  readonly overDoseDays: BothReadings
  readonly daysInFullCount: number
  readonly daysTouchedCount: number
  readonly overDoseDaysCount: number
  readonly sessionsDone: number
  readonly sessionsPrescribed: number
}

/**
 * The figures of one row of a table of sums, as {@link adherenceSums} makes it. Shares are from 0 to 1 and of the days with a running
 * line; null where there is none, and, of logged days only, where none was logged.
 */
export function figuresOf(table: Float64Array, row: number): AdherenceFigures {
  const at = (k: number): number => table[row * SUMS + k]!
  const lineDays = at(SUM.lineDays)
  const loggedLineDays = at(SUM.loggedLineDays)
  const both = (total: number): BothReadings => ({
    asLogged: lineDays > 0 ? total / lineDays : null,
    loggedDaysOnly: loggedLineDays > 0 ? total / loggedLineDays : null,
  })
  return {
    lineDays,
    loggedLineDays,
    doseFraction: both(at(SUM.dose)),
    sessionShare: both(at(SUM.sessionShare)),
    daysInFull: both(at(SUM.inFull)),
    daysTouched: both(at(SUM.touched)),
    overDoseDays: both(at(SUM.overDose)),
    daysInFullCount: at(SUM.inFull),
    daysTouchedCount: at(SUM.touched),
    overDoseDaysCount: at(SUM.overDose),
    sessionsDone: at(SUM.sessionsDone),
    sessionsPrescribed: at(SUM.sessionsPrescribed),
  }
}

/** All rows of a table added up into one. */
export function sumOfRows(table: Float64Array): Float64Array {
  const total = new Float64Array(SUMS)
  for (let i = 0; i < table.length; i++) total[i % SUMS]! += table[i]!
  return total
}
