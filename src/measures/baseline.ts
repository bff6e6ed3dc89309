import type { Occasion, Series } from './series.ts'

/** Days before the start within which a baseline must lie. */
export const BASELINE_DAYS = 60

export type BaselineFrom = 'before the start' | 'first occasion, no programme' | 'none'

export interface Baseline {
  readonly occasion: Occasion | null
  readonly from: BaselineFrom
}

/** The last occasion on or before the programme's start, at most `days` (60) before it; null where there is none. */
export function baselineOccasion(series: Series, days = BASELINE_DAYS): Occasion | null {
  const { start } = series
  if (start === null) return null
  const before = series.occasions.findLast((o) => o.day <= start)
  return before !== undefined && start - before.day <= days ? before : null
}

/** The baseline for a series' status: as in before-and-after; with no programme the first occasion, which `from` says. */
export function statusBaseline(series: Series, days = BASELINE_DAYS): Baseline {
  if (series.start === null)
    return { occasion: series.occasions[0] ?? null, from: 'first occasion, no programme' }
  const occasion = baselineOccasion(series, days)
  return { occasion, from: occasion === null ? 'none' : 'before the start' }
}
