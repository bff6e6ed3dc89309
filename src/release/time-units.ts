import { DAYS_PER_MONTH } from '../records/index.ts'

/** How a day count from the person's own start is released: finest first. */
export const TIME_UNITS = ['day', 'week', 'month', 'quarter', 'half_year', 'before_or_after'] as const
export type TimeUnit = (typeof TIME_UNITS)[number]

const DAYS_IN: Record<TimeUnit, number> = {
  day: 1,
  week: 7,
  month: DAYS_PER_MONTH,
  quarter: 3 * DAYS_PER_MONTH,
  half_year: 6 * DAYS_PER_MONTH,
  before_or_after: Number.POSITIVE_INFINITY,
}

/**
 * The unit in which a day count falls: 0 is the first one from the start on, -1 the last one before it.
 * With `before_or_after` all that is left is -1 or 0.
 */
export function inUnits(dayFromStart: number, unit: TimeUnit): number {
  if (unit === 'before_or_after') return dayFromStart < 0 ? -1 : 0
  return Math.floor(dayFromStart / DAYS_IN[unit])
}

/** Whole months followed, no finer than the unit that leaves; null with `before_or_after`. */
export function monthsInUnits(months: number | null, unit: TimeUnit): number | null {
  if (months === null || unit === 'before_or_after') return null
  const step = unit === 'half_year' ? 6 : unit === 'quarter' ? 3 : 1
  return Math.floor(months / step) * step
}
