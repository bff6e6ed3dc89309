import { DAYS_PER_MONTH, type Day, type Reflex } from '../records/index.ts'
import { type TheilSen, theilSen } from '../statistics/index.ts'
import { type Computed, compute } from './result.ts'
import type { Occasion, Series } from './series.ts'

/** One day on which a reflex was scored. Severity, 0 to 1; null where that side was not scored. */
export interface SideOccasion {
  readonly reflex: Reflex
  readonly day: Day
  readonly left: number | null
  readonly right: number | null
  /** left − right; null unless both sides were scored. */
  readonly difference: number | null
}

/** How far apart the two sides of one client's reflex are, over time. */
export interface Asymmetry {
  readonly client_id: string
  readonly reflex: Reflex
  readonly occasions: readonly SideOccasion[]
  /** Days with both sides scored; the rest enter nothing below. */
  readonly n: number
  readonly first: SideOccasion | null
  readonly last: SideOccasion | null
  /** Theil–Sen slope of |left − right| a month: below 0, the sides are coming together. */
  readonly trend: Computed<TheilSen>
}

const occasionsByDay = (series: Series | undefined): Map<Day, Occasion> =>
  new Map(series?.occasions.map((o) => [o.day, o]) ?? [])

/** Asymmetry of every reflex of which one client has a left and a right series. */
export function asymmetries(series: readonly Series[]): Asymmetry[] {
  const left = series.filter((s) => s.side === 'left')
  return left.flatMap((one) => {
    const other = series.find(
      (s) => s.side === 'right' && s.reflex === one.reflex && s.client_id === one.client_id,
    )
    return other === undefined ? [] : asymmetryOf(one, other)
  })
}

function asymmetryOf(left: Series, right: Series): Asymmetry {
  const onLeft = occasionsByDay(left)
  const onRight = occasionsByDay(right)
  const days = [...new Set([...onLeft.keys(), ...onRight.keys()])].sort((a, b) => a - b)
  const occasions = days.map((day): SideOccasion => {
    const l = onLeft.get(day)?.severity ?? null
    const r = onRight.get(day)?.severity ?? null
    return {
      reflex: left.reflex,
      day,
      left: l,
      right: r,
      difference: l === null || r === null ? null : l - r,
    }
  })
  const both = occasions.filter((o) => o.difference !== null)
  return {
    client_id: left.client_id,
    reflex: left.reflex,
    occasions,
    n: both.length,
    first: both[0] ?? null,
    last: both.at(-1) ?? null,
    trend: compute('The trend of the difference between sides', () =>
      theilSen(
        both.map((o) => o.day / DAYS_PER_MONTH),
        both.map((o) => Math.abs(o.difference!)),
      ),
    ),
  }
}
