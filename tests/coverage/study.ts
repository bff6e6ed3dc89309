import type { Interval } from '../../src/statistics/shared.ts'

/** A measured coverage: how often 95 % intervals of seeded, simulated data held the truth. */
export interface Coverage {
  readonly what: string
  readonly covered: number
  readonly simulations: number
  /** Shares between which coverage should lie; null where the method is known to fall short, and its docstring says so. */
  readonly expected: readonly [number, number] | null
}

export interface CoverageStudy {
  readonly name: string
  run(): Coverage[]
}

/** Where theory says that intervals hold their level. */
export const HOLDS: readonly [number, number] = [0.93, 0.97]

export const holds = (interval: Interval, truth: number): boolean =>
  (interval.lower ?? -Infinity) <= truth && truth <= (interval.upper ?? Infinity)

/** Simulates `simulations` times and counts the intervals that hold the truth. */
export function measure(
  what: string,
  simulations: number,
  truth: number,
  intervalOf: (simulation: number) => Interval,
  expected: Coverage['expected'] = HOLDS,
): Coverage {
  let covered = 0
  for (let i = 0; i < simulations; i++) if (holds(intervalOf(i), truth)) covered++
  return { what, covered, simulations, expected }
}
