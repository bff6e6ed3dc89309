import normal from '@stdlib/stats-base-dists-normal'
import { denseCodes } from './dense-codes.ts'
import { pairedValues } from './paired-values.ts'
import { CannotEstimate, checkLevel, type Interval, type Maybe } from './shared.ts'

/** What becomes of pairs without a change: dropped before ranking (Wilcoxon 1945), or ranked and their ranks left out (Pratt 1959). */
export type ZeroConvention = 'dropped' | 'pratt'

export interface SignedRanks {
  readonly zeros: ZeroConvention
  /** Pairs whose ranks count. */
  readonly nRanked: number
  /** Sum of the midranks of increases, and of decreases. */
  readonly wPlus: number
  readonly wMinus: number
  /** Chance, over all signs of the observed midranks, of a sum at least as far from its centre; null where nothing is ranked. */
  readonly pTwoSidedExact: number | null
  readonly pGreaterExact: number | null
  readonly pLessExact: number | null
  /** Normal approximation with the observed midranks, without and with continuity correction. */
  readonly z: number | null
  readonly pNormal: number | null
  readonly zContinuity: number | null
  readonly pNormalContinuity: number | null
}

export interface WilcoxonSignedRank extends SignedRanks {
  readonly method: 'Wilcoxon signed-rank'
  readonly n: number
  readonly nDropped: number
  readonly nZero: number
}

/** Largest number of ranked pairs for which the exact law is counted; beyond it the exact p-values are null. */
const EXACT_UP_TO = 1000

/**
 * The signed differences of complete pairs, after less before, with those that are rounding error made exactly 0.
 * Differences are compared to 10 decimals of their size, so that 0.1 + 0.2 ties with 0.3.
 */
export function signedDifferences(
  statistic: string,
  before: ArrayLike<Maybe>,
  after: ArrayLike<Maybe>,
): { readonly differences: number[]; readonly dropped: number } {
  const { x, y, dropped } = pairedValues(statistic, before, after)
  if (x.length === 0) throw new CannotEstimate(statistic, 'a complete pair', '0')
  const size = Math.max(...x.map(Math.abs), ...y.map(Math.abs))
  const differences = y.map((value, i) => {
    const d = value - x[i]!
    return Math.abs(d) <= 1e-12 * size ? 0 : d
  })
  return { differences, dropped }
}

/** Doubled midranks of sizes, whole numbers whatever the ties. */
export function doubledMidranksOf(sizes: readonly number[]): number[] {
  const codes = denseCodes(sizes)
  const counts: number[] = []
  for (const code of codes) counts[code] = (counts[code] ?? 0) + 1
  let below = 0
  const doubled = counts.map((count) => {
    const rank = 2 * below + count + 1
    below += count
    return rank
  })
  return Array.from(codes, (code) => doubled[code]!)
}

/** Chance of each doubled sum of ranks with positive sign, over all equally likely signs. */
function lawOfSum(doubled: readonly number[]): Float64Array {
  const total = doubled.reduce((a, b) => a + b, 0)
  const law = new Float64Array(total + 1)
  law[0] = 1
  let reach = 0
  for (const rank of doubled) {
    reach += rank
    for (let s = reach; s >= 0; s--) law[s] = (law[s]! + (s >= rank ? law[s - rank]! : 0)) / 2
  }
  return law
}

function exactP(doubled: readonly number[], doubledPlus: number, exactUpTo: number) {
  if (doubled.length === 0 || doubled.length > exactUpTo)
    return { pTwoSidedExact: null, pGreaterExact: null, pLessExact: null }
  const law = lawOfSum(doubled)
  const centre = (law.length - 1) / 2
  const away = Math.abs(doubledPlus - centre)
  let two = 0
  let greater = 0
  let less = 0
  for (let s = 0; s < law.length; s++) {
    if (Math.abs(s - centre) >= away) two += law[s]!
    if (s >= doubledPlus) greater += law[s]!
    if (s <= doubledPlus) less += law[s]!
  }
  return {
    pTwoSidedExact: Math.min(1, two),
    pGreaterExact: Math.min(1, greater),
    pLessExact: Math.min(1, less),
  }
}

function normalP(doubled: readonly number[], doubledPlus: number) {
  const variance = doubled.reduce((sum, r) => sum + (r / 2) ** 2, 0) / 4
  if (!(variance > 0)) return { z: null, pNormal: null, zContinuity: null, pNormalContinuity: null }
  const away = doubledPlus / 2 - doubled.reduce((sum, r) => sum + r / 2, 0) / 2
  const z = away / Math.sqrt(variance)
  const zContinuity = (away - Math.sign(away) * 0.5) / Math.sqrt(variance)
  const p = (distance: number): number => Math.min(1, 2 * normal.cdf(-distance / Math.sqrt(variance), 0, 1))
  return {
    z,
    pNormal: p(Math.abs(away)),
    zContinuity,
    pNormalContinuity: p(Math.max(0, Math.abs(away) - 0.5)),
  }
}

/** Signed-rank sums and p-values of differences under one zero convention; exact up to so many ranked pairs. */
export function signedRanks(
  differences: readonly number[],
  zeros: ZeroConvention,
  exactUpTo = EXACT_UP_TO,
): SignedRanks {
  const ranked = zeros === 'dropped' ? differences.filter((d) => d !== 0) : differences
  const all = doubledMidranksOf(ranked.map(Math.abs))
  const kept = all.map((rank, i) => ({ rank, d: ranked[i]! })).filter(({ d }) => d !== 0)
  const doubled = kept.map(({ rank }) => rank)
  const plus = kept.reduce((sum, { rank, d }) => (d > 0 ? sum + rank : sum), 0)
  const total = doubled.reduce((a, b) => a + b, 0)
  return {
    zeros,
    nRanked: kept.length,
    wPlus: plus / 2,
    wMinus: (total - plus) / 2,
    ...exactP(doubled, plus, exactUpTo),
    ...normalP(doubled, plus),
  }
}

/**
 * Wilcoxon signed-rank test of after less before (Wilcoxon 1945, Biometrics Bull 1:80–83). Ties take midranks, and the
 * exact p-values condition on the observed midranks (all 2^n signs equally likely; counted up to `exactUpTo`, 1,000 ranked pairs). A
 * pair with a missing half is dropped and counted; `zeros` says what becomes of pairs without a change.
 *
 * @throws CannotEstimate where there is no complete pair
 */
export function wilcoxonSignedRank(
  before: ArrayLike<Maybe>,
  after: ArrayLike<Maybe>,
  {
    zeros = 'dropped',
    exactUpTo = EXACT_UP_TO,
  }: { readonly zeros?: ZeroConvention; readonly exactUpTo?: number } = {},
): WilcoxonSignedRank {
  const { differences, dropped } = signedDifferences('wilcoxonSignedRank', before, after)
  return {
    method: 'Wilcoxon signed-rank',
    n: differences.length,
    nDropped: dropped,
    nZero: differences.filter((d) => d === 0).length,
    ...signedRanks(differences, zeros, exactUpTo),
  }
}

export interface HodgesLehmann {
  readonly method: 'Hodges-Lehmann'
  readonly n: number
  readonly nDropped: number
  /** Median of the n(n+1)/2 means of two differences, each with itself too (Walsh averages). */
  readonly estimate: number
  readonly interval: Interval
  /** The level that the interval has, without ties, at least the one asked where n allows it. */
  readonly achievedLevel: number
}

/** P(W ≤ w) of the signed-rank sum of n untied differences, and its quantile, as R's psignrank and qsignrank have them. */
function untiedLaw(n: number): Float64Array {
  const ranks = Array.from({ length: n }, (_, i) => i + 1)
  return lawOfSum(ranks)
}

/**
 * Hodges–Lehmann estimate of the median change, with the interval from the ordered Walsh averages (Hollander and Wolfe
 * 1999, section 3.2 and 3.3): positions q and N + 1 − q, q the lower quantile of the untied signed-rank law, at least 1.
 * Conservative under ties.
 *
 * @throws CannotEstimate where there is no complete pair
 */
export function hodgesLehmann(
  before: ArrayLike<Maybe>,
  after: ArrayLike<Maybe>,
  {
    level = 0.95,
    zeros = 'kept',
    unreachable = 'widest',
  }: {
    readonly level?: number
    readonly zeros?: 'kept' | 'dropped'
    /** Where so few pairs cannot reach the level: the widest interval there is, or no bounds. */
    readonly unreachable?: 'widest' | 'unbounded'
  } = {},
): HodgesLehmann {
  checkLevel('hodgesLehmann', level)
  const { differences, dropped } = signedDifferences('hodgesLehmann', before, after)
  const used = zeros === 'dropped' ? differences.filter((d) => d !== 0) : differences
  const n = used.length
  if (n === 0) throw new CannotEstimate('hodgesLehmann', 'a pair with a change', '0')
  const walsh: number[] = []
  for (let i = 0; i < n; i++) for (let j = i; j < n; j++) walsh.push((used[i]! + used[j]!) / 2)
  walsh.sort((a, b) => a - b)
  const half = walsh.length >> 1
  const law = untiedLaw(n)
  let below = 0
  let q = 0
  for (; q < law.length; q++) {
    below += law[q]!
    if (below >= (1 - level) / 2 - 1e-15) break
  }
  const tail = q === 0 ? law[0]! : below - law[q]!
  const at = Math.max(1, q)
  const unbounded = q === 0 && unreachable === 'unbounded'
  return {
    method: 'Hodges-Lehmann',
    n,
    nDropped: dropped,
    estimate: walsh.length % 2 ? walsh[half]! : (walsh[half - 1]! + walsh[half]!) / 2,
    interval: unbounded
      ? { lower: -Infinity, upper: Infinity, level }
      : { lower: walsh[at - 1]!, upper: walsh[walsh.length - at]!, level },
    achievedLevel: unbounded ? 1 : 1 - 2 * tail,
  }
}
