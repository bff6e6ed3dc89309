import type { Day } from '../records/index.ts'
import {
  type BaselineCorrectedTau,
  baselineCorrectedTau,
  type NonOverlap,
  nonOverlapOfAllPairs,
  type PhaseRandomisationTest,
  phaseRandomisationTest,
  type TauU,
  tauU,
} from '../statistics/index.ts'
import { type Computed, compute, notComputed } from './result.ts'
import type { Occasion, Series } from './series.ts'

export interface SingleCaseOptions {
  /**
   * Only where the day of the start was drawn at random before the first score: fewest occasions that the draw left before and
   * after it. Without it no randomisation test is made.
   */
  readonly startDrawnAtRandom?: { readonly fewestBefore: number; readonly fewestAfter: number }
}

/** The course of one series in two phases: A up to the programme's start, the start day included, and B after it. */
export interface SingleCase {
  readonly seriesId: string
  readonly start: Day | null
  readonly before: readonly Occasion[]
  readonly after: readonly Occasion[]
  /** Improvement is a decrease: 1 is no overlap, 0.5 chance. */
  readonly nonOverlap: Computed<NonOverlap>
  readonly tauU: Computed<TauU>
  readonly baselineCorrectedTau: Computed<BaselineCorrectedTau>
  readonly randomisationTest: Computed<PhaseRandomisationTest>
}

/**
 * Phases of one series with their non-overlap, Tau-U and baseline-corrected tau; a randomisation test only where the start was
 * drawn at random. An occasion on the day of the start was before it: it is the baseline.
 */
export function singleCase(series: Series, options: SingleCaseOptions = {}): SingleCase {
  const { start, occasions } = series
  const before = start === null ? [] : occasions.filter((o) => o.day <= start)
  const after = start === null ? [] : occasions.filter((o) => o.day > start)
  const scoresOf = (phase: readonly Occasion[]) => phase.map((o) => o.score)
  const daysOf = (phase: readonly Occasion[]) => phase.map((o) => o.day)
  const figure = <T>(what: string, make: () => T): Computed<T> =>
    start === null
      ? notComputed(`${what} needs a programme: this series has none, so there are no phases to compare.`)
      : before.length === 0 || after.length === 0
        ? notComputed(
            `${what} needs a score before the start and one after it; here there are ${before.length} and ${after.length}.`,
          )
        : compute(what, make)
  const improvement = 'decrease' as const
  const times = { timesA: daysOf(before), timesB: daysOf(after) }
  return {
    seriesId: series.id,
    start,
    before,
    after,
    nonOverlap: figure('Non-overlap of all pairs', () =>
      nonOverlapOfAllPairs(scoresOf(before), scoresOf(after), { improvement }),
    ),
    tauU: figure('Tau-U', () => tauU(scoresOf(before), scoresOf(after), { improvement, ...times })),
    baselineCorrectedTau: figure('Baseline-corrected tau', () =>
      baselineCorrectedTau(scoresOf(before), scoresOf(after), { improvement, ...times }),
    ),
    randomisationTest: figure('A randomisation test', () => {
      const design = options.startDrawnAtRandom
      if (design === undefined)
        return notComputed(
          'No randomisation test: the records do not say that the start was drawn at random, and without that the test would mean nothing.',
        )
      return phaseRandomisationTest(scoresOf(occasions), before.length, {
        fewestInA: design.fewestBefore,
        fewestInB: design.fewestAfter,
      })
    }),
  }
}
