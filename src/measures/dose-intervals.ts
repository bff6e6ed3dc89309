import { DAYS_PER_MONTH, type Day } from '../records/index.ts'
import { points } from './points.ts'
import { dayDose, type ProgrammeDays } from './programme-days.ts'
import { ExclusionTally } from './result.ts'
import { type Series, seriesId } from './series.ts'

/** Two occasions of a series that follow each other, with what was done between them. */
export interface DoseInterval {
  readonly series: Series
  readonly from: Day
  readonly to: Day
  readonly months: number
  /** Score change a month, in points of the common scale: below 0 is better. */
  readonly changePerMonth: number
  /** Mean dose fraction of the programme days after `from` up to and with `to`, 0 to 1. */
  readonly dose: number
  readonly programmeDays: number
}

export const DOSE_LEFT_OUT = {
  short: 'occasions less than 21 days apart: the change a month would be mostly measuring error',
  fewDays: 'programme running on less than half of the days between the two occasions',
  floor: 'score 0 at the first of the two occasions: nothing left to fall',
} as const

const SHORTEST_DAYS = 21

interface Dose {
  readonly days: number
  readonly dose: number
}

/** Dose fraction summed over the programme days in (from, to] of a set of stretches. */
function doseBetween(days: ProgrammeDays, stretches: readonly number[], from: Day, to: Day): Dose {
  let count = 0
  let dose = 0
  for (const s of stretches) {
    const stretch = days.stretches[s]!
    const shift = days.offset[s]! - stretch.from
    for (const segment of stretch.segments) {
      const last = Math.min(segment.until, to)
      for (let day = Math.max(segment.from, from + 1); day <= last; day++) {
        count++
        dose += dayDose(days.amount[shift + day]!, segment.amountPerDay)
      }
    }
  }
  return { days: count, dose: count > 0 ? dose / count : 0 }
}

/** Every interval between occasions that follow each other, and how many are left out for what. */
export function doseIntervals(
  series: readonly Series[],
  days: ProgrammeDays,
): { readonly intervals: DoseInterval[]; readonly candidates: number; readonly tally: ExclusionTally } {
  const stretchesOf = new Map<string, number[]>()
  days.stretches.forEach((s, i) => {
    const id = seriesId(s.client_id, s.target, s.side)
    const own = stretchesOf.get(id)
    if (own) own.push(i)
    else stretchesOf.set(id, [i])
  })
  const tally = new ExclusionTally()
  const intervals: DoseInterval[] = []
  let candidates = 0
  for (const one of series) {
    const own = stretchesOf.get(one.id)
    if (own === undefined) continue
    for (let i = 0; i + 1 < one.occasions.length; i++) {
      const first = one.occasions[i]!
      const second = one.occasions[i + 1]!
      if (second.day <= days.stretches[own[0]!]!.from) continue
      candidates++
      const length = second.day - first.day
      const between = doseBetween(days, own, first.day, second.day)
      if (length < SHORTEST_DAYS) tally.add(DOSE_LEFT_OUT.short)
      else if (between.days < length / 2) tally.add(DOSE_LEFT_OUT.fewDays)
      else if (first.severity === 0) tally.add(DOSE_LEFT_OUT.floor)
      else {
        const months = length / DAYS_PER_MONTH
        intervals.push({
          series: one,
          from: first.day,
          to: second.day,
          months,
          changePerMonth: (points(second) - points(first)) / months,
          dose: between.dose,
          programmeDays: between.days,
        })
      }
    }
  }
  return { intervals, candidates, tally }
}
