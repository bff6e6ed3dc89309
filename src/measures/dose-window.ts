import type { Day } from '../records/index.ts'
import { dayDose, type ProgrammeDays } from './programme-days.ts'
import { seriesId } from './series.ts'

/** Dose of one series over some days: what a score's change is set against. */
export interface DoseOverDays {
  readonly lineDays: number
  readonly loggedLineDays: number
  /** Mean day's dose fraction as logged; null where no line ran. */
  readonly doseFraction: number | null
  /** Over days with a diary only; null without one. */
  readonly doseFractionLoggedDays: number | null
  readonly sessionsDone: number
}

/** Numbers of the stretches of each client, target and side, by {@link seriesId}. */
export function stretchesBySeries(days: ProgrammeDays): ReadonlyMap<string, readonly number[]> {
  const map = new Map<string, number[]>()
  days.stretches.forEach((stretch, s) => {
    const id = seriesId(stretch.client_id, stretch.target, stretch.side)
    const known = map.get(id)
    if (known) known.push(s)
    else map.set(id, [s])
  })
  return map
}

/** Dose of some stretches from `from` to `to`, both days included; only days on which they run count. */
export function doseOver(
  days: ProgrammeDays,
  stretches: readonly number[],
  from: Day,
  to: Day,
): DoseOverDays {
  let lineDays = 0
  let diary = 0
  let dose = 0
  let sessions = 0
  for (const s of stretches) {
    const stretch = days.stretches[s]!
    const shift = days.offset[s]! - stretch.from
    const logShift = days.clientOffset[stretch.client]! - days.clientFrom[stretch.client]!
    for (const g of stretch.segments)
      for (let day = Math.max(from, g.from); day <= Math.min(to, g.until); day++) {
        lineDays++
        diary += days.logged[logShift + day]!
        sessions += days.done[shift + day]!
        dose += dayDose(days.amount[shift + day]!, g.amountPerDay)
      }
  }
  return {
    lineDays,
    loggedLineDays: diary,
    doseFraction: lineDays > 0 ? dose / lineDays : null,
    doseFractionLoggedDays: diary > 0 ? dose / diary : null,
    sessionsDone: sessions,
  }
}
