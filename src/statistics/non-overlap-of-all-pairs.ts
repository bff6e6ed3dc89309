import normal from '@stdlib/stats-base-dists-normal'
import { denseCodes } from './dense-codes.ts'
import { mannWhitneyTest } from './mann-whitney.ts'
import { CannotEstimate, checkLevel, dropMissing, type Interval, type Maybe } from './shared.ts'

/** Which way is better: the scores going up or down. */
export type Improvement = 'increase' | 'decrease'

export interface NonOverlap {
  readonly method: 'non-overlap of all pairs'
  readonly improvement: Improvement
  readonly nA: number
  readonly nB: number
  readonly nDropped: number
  /** Pairs of one occasion of A with one of B. */
  readonly pairs: number
  readonly pairsBetter: number
  readonly pairsTied: number
  readonly pairsWorse: number
  /** (better + tied / 2) / pairs: 0.5 is chance, 1 no overlap. */
  readonly nap: number
  /** Newcombe's interval of NAP (method 5). */
  readonly interval: Interval
  /** (better - worse) / pairs = 2 NAP - 1. */
  readonly tau: number
  readonly tauInterval: Interval
  /** sqrt((nA + nB + 1) / (3 nA nB)), the null standard error of tau if nothing ties. */
  readonly standardErrorOfTauNoTies: number
  readonly zOfTauNoTies: number
  /** Mann-Whitney, exact conditional on ties up to 40 occasions. */
  readonly p: number
  /** Share of B better than the best of A (percentage of non-overlapping data, as a share). */
  readonly nonOverlappingShare: number
  readonly meanDifference: number
  readonly medianDifference: number
}

export interface NonOverlapOptions {
  /** Which way is better; `increase` unless given. Reflex scores get better by a decrease. */
  readonly improvement?: Improvement
  /** Confidence level, 0.95 unless given. */
  readonly level?: number
}

/**
 * Non-overlap of all pairs between a baseline phase A and a treatment phase B of one case, with Tau and the share of
 * non-overlapping data.
 *
 * Missing occasions are dropped and counted. Values that differ by rounding error only tie. Differences are B minus A whatever the
 * direction of improvement. The intervals and p take occasions as independent; a case's scores in sequence usually are not, so they are
 * too narrow, and a trend that was there before B counts as improvement (see tauU, baselineCorrectedTau).
 *
 * Source: Parker and Vannest (2009) Behavior Therapy 40:357-367; interval: Newcombe (2006) Stat Med 25:559-573, method 5
 * (from memory, with the Hanley-McNeil variance).
 *
 * @throws CannotEstimate where either phase has no score.
 */
export function nonOverlapOfAllPairs(
  phaseA: ArrayLike<Maybe>,
  phaseB: ArrayLike<Maybe>,
  options: NonOverlapOptions = {},
): NonOverlap {
  const improvement = options.improvement ?? 'increase'
  const level = options.level ?? 0.95
  checkLevel('nonOverlapOfAllPairs', level)
  const a = dropMissing(phaseA)
  const b = dropMissing(phaseB)
  const nA = a.known.length
  const nB = b.known.length
  if (nA === 0 || nB === 0)
    throw new CannotEstimate('nonOverlapOfAllPairs', 'a score in each phase', `${nA} and ${nB}`)
  const codes = denseCodes([...a.known, ...b.known])
  const counts = comparePhases(codes.subarray(0, nA), codes.subarray(nA), improvement)
  const pairs = nA * nB
  const nap = (counts.better + counts.tied / 2) / pairs
  const interval = newcombeInterval(nap, nA, nB, level)
  const tau = (counts.better - counts.worse) / pairs
  const standardError = Math.sqrt((nA + nB + 1) / (3 * pairs))
  return {
    method: 'non-overlap of all pairs',
    improvement,
    nA,
    nB,
    nDropped: a.dropped + b.dropped,
    pairs,
    pairsBetter: counts.better,
    pairsTied: counts.tied,
    pairsWorse: counts.worse,
    nap,
    interval,
    tau,
    tauInterval: { lower: 2 * interval.lower - 1, upper: 2 * interval.upper - 1, level },
    standardErrorOfTauNoTies: standardError,
    zOfTauNoTies: tau / standardError,
    p: mannWhitneyTest(a.known, b.known).p,
    nonOverlappingShare: counts.beyondBest / nB,
    meanDifference: mean(b.known) - mean(a.known),
    medianDifference: median(b.known) - median(a.known),
  }
}

interface PhaseCounts {
  readonly better: number
  readonly tied: number
  readonly worse: number
  readonly beyondBest: number
}

/**
 * How many pairs of an observation of A and one of B are better, tied and worse in B, and how many of B are beyond the best of A. The
 * observations as ranks or codes, so that equal ones are equal whole numbers; of the size of A × B.
 */
export function comparePhases(a: Int32Array, b: Int32Array, improvement: Improvement): PhaseCounts {
  const sign = improvement === 'increase' ? 1 : -1
  let better = 0
  let tied = 0
  let worse = 0
  let beyondBest = 0
  for (const later of b) {
    let beatsAll = true
    for (const earlier of a) {
      const difference = sign * (later - earlier)
      if (difference > 0) better++
      else if (difference < 0) worse++
      else tied++
      if (difference <= 0) beatsAll = false
    }
    if (beatsAll) beyondBest++
  }
  return { better, tied, worse, beyondBest }
}

/** Roots of (theta - nap)^2 = z^2 var(theta), var with the Hanley-McNeil form, each side by bisection. */
function newcombeInterval(
  nap: number,
  nA: number,
  nB: number,
  level: number,
): { readonly lower: number; readonly upper: number; readonly level: number } {
  const z = normal.quantile((1 + level) / 2, 0, 1)
  const half = (nA + nB) / 2 - 1
  const inside = (theta: number) => {
    const shape = 1 + (half * (1 - theta)) / (2 - theta) + (half * theta) / (1 + theta)
    return (theta - nap) ** 2 <= (z * z * theta * (1 - theta) * shape) / (nA * nB)
  }
  const edge = (outer: number) => {
    if (inside(outer) && outer !== nap) return outer
    let out = outer
    let within = nap === 0 || nap === 1 ? nudge(nap, outer, inside) : nap
    for (let i = 0; i < 200 && out !== within; i++) {
      const middle = (out + within) / 2
      if (middle === out || middle === within) break
      if (inside(middle)) within = middle
      else out = middle
    }
    return within
  }
  return { lower: nap === 0 ? 0 : edge(0), upper: nap === 1 ? 1 : edge(1), level }
}

/** At nap 0 or 1 the variance there is 0: a start just inside from which the other limit can be bracketed. */
function nudge(nap: number, outer: number, inside: (theta: number) => boolean): number {
  for (let step = 1e-9; step < 1; step *= 2) {
    const theta = nap + (outer - nap) * step
    if (inside(theta)) return theta
  }
  return nap
}

const mean = (values: readonly number[]) => values.reduce((a, b) => a + b, 0) / values.length

function median(values: readonly number[]): number {
  const sorted = values.slice().sort((x, y) => x - y)
  const middle = Math.floor(sorted.length / 2)
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2
}
