import { CannotEstimate, isKnown, type Maybe } from './shared.ts'
import { medianOfSorted } from './theil-sen.ts'

export interface PhaseRandomisationTest {
  readonly method: 'randomisation test of a phase change'
  readonly statistic: number
  /** Occasion (index from 0) at which phase B really began. */
  readonly start: number
  /** Starts that could have been drawn, with the statistic each would have given. */
  readonly candidates: readonly { readonly start: number; readonly statistic: number | null }[]
  /** Two-sided: share of the candidate starts with |statistic| at least as large. Never below 1 / candidates. */
  readonly p: number
  /** Towards higher, and towards lower, scores in B. */
  readonly pGreater: number
  readonly pLess: number
  readonly n: number
  readonly nDropped: number
}

export interface PhaseRandomisationOptions {
  /** Fewest occasions in A, and in B, that the draw of the start allowed; 3 unless given. */
  readonly fewestInA?: number
  readonly fewestInB?: number
  /** Statistic of the two phases; `mean difference` (B less A) unless given. */
  readonly statistic?:
    | 'mean difference'
    | 'median difference'
    | ((a: readonly number[], b: readonly number[]) => number)
}

/**
 * Randomisation test of a phase change in one case: the start of phase B is moved to every occasion at which it might have been drawn.
 *
 * `scores` in order of time; B begins at index `start`. A missing occasion keeps its place and is left out of the phases.
 *
 * Valid only where the start was in truth drawn at random among the candidates, before the first score: otherwise the p-value is a description, not a
 * test, and a trend that was there anyway will look like a phase change. With k candidates p cannot fall below 1 / k.
 *
 * Source: Edgington (1975) J Psychol 90:57-68; Bulte and Onghena (2008) Behav Res Methods 40:467-478.
 *
 * @throws CannotEstimate where `start` is not a candidate, fewer than two candidates remain, or a phase has no score.
 */
export function phaseRandomisationTest(
  scores: ArrayLike<Maybe>,
  start: number,
  options: PhaseRandomisationOptions = {},
): PhaseRandomisationTest {
  const name = 'phaseRandomisationTest'
  const fewestInA = options.fewestInA ?? 3
  const fewestInB = options.fewestInB ?? 3
  const last = scores.length - fewestInB
  if (!(Number.isInteger(start) && start >= fewestInA && start <= last))
    throw new CannotEstimate(name, `a start from ${fewestInA} to ${last}`, String(start))
  if (last - fewestInA < 1)
    throw new CannotEstimate(name, 'two possible starts', String(Math.max(0, last - fewestInA + 1)))
  const statistic = statisticOf(options.statistic ?? 'mean difference')
  const known = (from: number, to: number) => {
    const kept: number[] = []
    for (let i = from; i < to; i++) {
      const score = scores[i]
      if (isKnown(score)) kept.push(score)
    }
    return kept
  }
  const at = (candidate: number) => {
    const a = known(0, candidate)
    const b = known(candidate, scores.length)
    return a.length === 0 || b.length === 0 ? null : statistic(a, b)
  }
  const observed = at(start)
  if (observed === null) throw new CannotEstimate(name, 'a score in each phase', 'none in one')
  const candidates = Array.from({ length: last - fewestInA + 1 }, (_, k) => ({
    start: fewestInA + k,
    statistic: at(fewestInA + k),
  }))
  const possible = candidates.flatMap((candidate) => candidate.statistic ?? [])
  const slack = 1e-10 * Math.abs(observed)
  const share = (extreme: (value: number) => boolean) => possible.filter(extreme).length / possible.length
  const n = known(0, scores.length).length
  return {
    method: 'randomisation test of a phase change',
    statistic: observed,
    start,
    candidates,
    p: share((value) => Math.abs(value) >= Math.abs(observed) - slack),
    pGreater: share((value) => value >= observed - slack),
    pLess: share((value) => value <= observed + slack),
    n,
    nDropped: scores.length - n,
  }
}

function statisticOf(named: NonNullable<PhaseRandomisationOptions['statistic']>) {
  if (typeof named === 'function') return named
  const mean = (values: readonly number[]) => values.reduce((a, b) => a + b, 0) / values.length
  const median = (values: readonly number[]) => medianOfSorted(Float64Array.from(values).sort())
  const centre = named === 'mean difference' ? mean : median
  return (a: readonly number[], b: readonly number[]) => centre(b) - centre(a)
}
