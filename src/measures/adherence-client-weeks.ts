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

/** Where the weeks of each client stand: week w of client c is row `firstRow[c] + w`. */
function rowsOf({ clientFrom, clientUntil }: ProgrammeDays): Int32Array {
  const firstRow = new Int32Array(clientFrom.length + 1)
  for (let c = 0; c < clientFrom.length; c++)
    firstRow[c + 1] = firstRow[c]! + Math.ceil((clientUntil[c]! - clientFrom[c]! + 1) / 7)
  return firstRow
}

/** Sums of the line-days of each client and week. */
function sumsOf(days: ProgrammeDays, firstRow: Int32Array): Float64Array {
  const table = new Float64Array(firstRow.at(-1)! * SUMS)
  const run = new Float64Array(SUMS)
  days.stretches.forEach(({ client, segments }, s) => {
    const start = days.clientFrom[client]!
    for (const segment of segments)
      for (let from = segment.from; from <= segment.until; ) {
        const week = Math.floor((from - start) / 7)
        const to = Math.min(segment.until, start + 7 * week + 6)
        sumRun(days, run, s, segment, from, to)
        addTo(table, firstRow[client]! + week, run)
        from = to + 1
      }
  })
  return table
}

/** By client and week from the client's start; weeks without a line-day are left out. */
export function clientWeeks(days: ProgrammeDays): ClientWeekAdherence[] {
  const firstRow = rowsOf(days)
  const table = sumsOf(days, firstRow)
  const weeks: ClientWeekAdherence[] = []
  days.programme.clientIds.forEach((client_id, c) => {
    for (let row = firstRow[c]!; row < firstRow[c + 1]!; row++) {
      if (table[row * SUMS + SUM.lineDays] === 0) continue
      const leftReps = table[row * SUMS + SUM.leftReps]!
      const rightReps = table[row * SUMS + SUM.rightReps]!
      weeks.push({
        client_id,
        week: row - firstRow[c]!,
        leftReps,
        rightReps,
        sideRatio: rightReps > 0 ? leftReps / rightReps : null,
        ...figuresOf(table, row),
      })
    }
  })
  return weeks
}
