import { CannotEstimate } from './shared.ts'

export interface DailyCoverage {
  readonly method: 'daily coverage of a window'
  readonly days: number
  readonly daysWithAny: number
  readonly daysInFull: number
  readonly done: number
  readonly prescribed: number
  /** Done ÷ prescribed, as it is; and with each day counting at most what was prescribed for it. */
  readonly crudeRatio: number
  readonly cappedRatio: number
  /** Longest run of days without any, its edges included; and of those that touch neither end. */
  readonly longestGap: number
  readonly longestInnerGap: number
  /** First run of `gapDays` or more: the number (from 1) of its first day and of the day on which it reached that length. */
  readonly firstGap: { readonly startsOnDay: number; readonly completeOnDay: number } | null
}

/**
 * Coverage of a window of days by counts a day, in the terms of dosing histories (Vrijens et al. 2012, Br J Clin Pharmacol
 * 73:691–705): surplus on one day never pays for another.
 *
 * @param counts how often it was done on each day of the window, both ends included
 * @throws CannotEstimate for an empty window or nothing prescribed
 */
export function dailyCoverage(
  counts: ArrayLike<number>,
  prescribedPerDay: number,
  { gapDays = 14 }: { readonly gapDays?: number } = {},
): DailyCoverage {
  const days = counts.length
  if (days === 0) throw new CannotEstimate('dailyCoverage', 'a day', '0')
  if (!(prescribedPerDay > 0))
    throw new CannotEstimate('dailyCoverage', 'a prescription above 0 a day', String(prescribedPerDay))
  let any = 0
  let full = 0
  let done = 0
  let capped = 0
  let longest = 0
  let inner = 0
  let run = 0
  let first: DailyCoverage['firstGap'] = null
  const endRun = (at: number): void => {
    longest = Math.max(longest, run)
    if (run < at && at < days) inner = Math.max(inner, run)
    run = 0
  }
  for (let i = 0; i < days; i++) {
    const count = counts[i]!
    done += count
    capped += Math.min(count, prescribedPerDay)
    if (count >= prescribedPerDay) full++
    if (count > 0) {
      any++
      endRun(i)
    } else if (++run === gapDays && first === null)
      first = { startsOnDay: i + 2 - gapDays, completeOnDay: i + 1 }
  }
  endRun(days)
  const prescribed = days * prescribedPerDay
  return {
    method: 'daily coverage of a window',
    days,
    daysWithAny: any,
    daysInFull: full,
    done,
    prescribed,
    crudeRatio: done / prescribed,
    cappedRatio: capped / prescribed,
    longestGap: longest,
    longestInnerGap: inner,
    firstGap: first,
  }
}

export interface SupplyCoverage {
  readonly method: 'coverage by supplies'
  readonly days: number
  readonly daysSupplied: number
  /** Days supplied ÷ days of the window: may pass 1. */
  readonly possessionRatio: number
  /** Days reached by any supply, overlap lost; and with early supplies begun when the earlier ends. */
  readonly daysCovered: number
  readonly daysCoveredCarried: number
}

/**
 * Medication possession ratio and proportion of days covered (Hess et al. 2006, Ann Pharmacother 40:1280–1288).
 * @throws CannotEstimate for a window that ends before it starts
 */
export function supplyCoverage(
  supplies: readonly { readonly day: number; readonly days: number }[],
  window: { readonly from: number; readonly to: number },
): SupplyCoverage {
  const days = window.to - window.from + 1
  if (!(days > 0)) throw new CannotEstimate('supplyCoverage', 'a window of a day or more', String(days))
  const mark = (covered: Uint8Array, from: number, length: number): void => {
    for (let day = Math.max(from, window.from); day < from + length && day <= window.to; day++)
      covered[day - window.from] = 1
  }
  const plain = new Uint8Array(days)
  const carried = new Uint8Array(days)
  let free = -Infinity
  for (const supply of supplies.toSorted((a, b) => a.day - b.day)) {
    mark(plain, supply.day, supply.days)
    const from = Math.max(supply.day, free)
    mark(carried, from, supply.days)
    free = from + supply.days
  }
  const total = (covered: Uint8Array): number => covered.reduce((a, b) => a + b, 0)
  const supplied = supplies.reduce((sum, s) => sum + s.days, 0)
  return {
    method: 'coverage by supplies',
    days,
    daysSupplied: supplied,
    possessionRatio: supplied / days,
    daysCovered: total(plain),
    daysCoveredCarried: total(carried),
  }
}

/** Left over right: infinite where only the left was done, null where neither was. */
export const sideRatioOf = (left: number, right: number): number | null =>
  right > 0 ? left / right : left > 0 ? Infinity : null
