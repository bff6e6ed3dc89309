import normal from '@stdlib/stats-base-dists-normal'
import { completePairs, denseCodes, tieSizes } from './dense-codes.ts'
import { CannotEstimate, type Maybe } from './shared.ts'

export interface Kendall {
  readonly method: "Kendall's tau"
  readonly n: number
  readonly nDropped: number
  /** Concordant minus discordant pairs. */
  readonly s: number
  readonly concordant: number
  readonly discordant: number
  /** Pairs tied on x, on y or on both. */
  readonly tied: number
  /** S over all pairs. */
  readonly tauA: number
  /** S over the geometric mean of the pairs not tied on x and those not tied on y; null where all x or all y are equal. */
  readonly tauB: number | null
  /** Null variance of S with Kendall's corrections for ties. */
  readonly varianceOfS: number
  readonly z: number | null
  readonly pNormal: number | null
  /** The same with |S| less 1 (continuity correction). */
  readonly zContinuity: number | null
  readonly pNormalContinuity: number | null
  /** Two-sided: share of all orderings of y with |S| at least as large; null where not computed (see the options). */
  readonly pExact: number | null
}

export interface KendallOptions {
  /** Largest n for which the exact p is counted where there are ties (by listing all distinct orderings); 8 unless given, at most 10. */
  readonly exactWithTiesUpTo?: number
  /** Largest n for which the exact p is computed where there are none; 200 unless given. */
  readonly exactUpTo?: number
}

/**
 * Kendall's rank correlation tau-a and tau-b of two series, with normal and exact p-values.
 *
 * A row with either half missing is dropped and counted. Values that differ by rounding error only count as tied.
 *
 * Source: Kendall (1970) Rank Correlation Methods, 4th ed., chapters 3 to 5 (tau-b and the variance under ties, from memory; confirmed
 * by R's cor.test); the exact law without ties by the recursion over the number of inversions.
 *
 * @throws CannotEstimate for fewer than 2 complete pairs.
 */
export function kendall(x: ArrayLike<Maybe>, y: ArrayLike<Maybe>, options: KendallOptions = {}): Kendall {
  if (x.length !== y.length)
    throw new CannotEstimate('kendall', 'as many y as x', `${y.length} and ${x.length}`)
  const pairs = completePairs(x, y)
  if (pairs.x.length < 2) throw new CannotEstimate('kendall', 'two complete pairs', String(pairs.x.length))
  return kendallOfCodes(denseCodes(pairs.x), denseCodes(pairs.y), pairs.dropped, options)
}

/** Kendall's tau of two series of {@link denseCodes}, for callers that decide themselves what ties. */
export function kendallOfCodes(
  x: Int32Array,
  y: Int32Array,
  nDropped = 0,
  options: KendallOptions = {},
): Kendall {
  const n = x.length
  const all = (n * (n - 1)) / 2
  const tiesX = tieSizes(x)
  const tiesY = tieSizes(y)
  const { concordant, discordant } = countPairs(x, y)
  const s = concordant - discordant
  const untiedX = all - tiesX.reduce((sum, t) => sum + (t * (t - 1)) / 2, 0)
  const untiedY = all - tiesY.reduce((sum, t) => sum + (t * (t - 1)) / 2, 0)
  const varianceOfS = untiedX > 0 && untiedY > 0 ? varianceUnderTies(n, tiesX, tiesY) : 0
  const z = varianceOfS > 0 ? s / Math.sqrt(varianceOfS) : null
  const zContinuity =
    varianceOfS > 0 ? (Math.sign(s) * Math.max(0, Math.abs(s) - 1)) / Math.sqrt(varianceOfS) : null
  const twoSided = (value: number | null) => (value === null ? null : 2 * normal.cdf(-Math.abs(value), 0, 1))
  return {
    method: "Kendall's tau",
    n,
    nDropped,
    s,
    concordant,
    discordant,
    tied: all - concordant - discordant,
    tauA: s / all,
    tauB: untiedX > 0 && untiedY > 0 ? s / Math.sqrt(untiedX * untiedY) : null,
    varianceOfS,
    z,
    pNormal: twoSided(z),
    zContinuity,
    pNormalContinuity: twoSided(zContinuity),
    pExact: exactP(x, y, s, untiedX === all && untiedY === all, options),
  }
}

function countPairs(x: Int32Array, y: Int32Array): { concordant: number; discordant: number } {
  let concordant = 0
  let discordant = 0
  for (let i = 1; i < x.length; i++) {
    for (let j = 0; j < i; j++) {
      const product = (x[i]! - x[j]!) * (y[i]! - y[j]!)
      if (product > 0) concordant++
      else if (product < 0) discordant++
    }
  }
  return { concordant, discordant }
}

function varianceUnderTies(n: number, tiesX: readonly number[], tiesY: readonly number[]): number {
  const sum = (ties: readonly number[], term: (t: number) => number) =>
    ties.reduce((total, t) => total + term(t), 0)
  const first = (t: number) => t * (t - 1) * (2 * t + 5)
  const second = (t: number) => t * (t - 1)
  const third = (t: number) => t * (t - 1) * (t - 2)
  const leading = (first(n) - sum(tiesX, first) - sum(tiesY, first)) / 18
  const pairs = (sum(tiesX, second) * sum(tiesY, second)) / (2 * n * (n - 1))
  const triples = n > 2 ? (sum(tiesX, third) * sum(tiesY, third)) / (9 * n * (n - 1) * (n - 2)) : 0
  return leading + pairs + triples
}

function exactP(
  x: Int32Array,
  y: Int32Array,
  s: number,
  untied: boolean,
  options: KendallOptions,
): number | null {
  const n = x.length
  if (untied) return n <= (options.exactUpTo ?? 200) ? exactUntied(n, s) : null
  return n <= Math.min(10, options.exactWithTiesUpTo ?? 8) ? exactByListing(x, y, s) : null
}

/** Law of the number of inversions of a random permutation; S = all - 2 inversions. */
function exactUntied(n: number, s: number): number {
  const all = (n * (n - 1)) / 2
  let law = new Float64Array(1).fill(1)
  for (let size = 2; size <= n; size++) {
    const next = new Float64Array(law.length + size - 1)
    let running = 0
    for (let k = 0; k < next.length; k++) {
      if (k < law.length) running += law[k]!
      if (k >= size) running -= law[k - size]!
      next[k] = Math.max(0, running) / size
    }
    law = next
  }
  // Inversions that leave |S| at least as large, one tail, by symmetry doubled.
  const most = Math.floor((all - Math.abs(s)) / 2)
  let tail = 0
  for (let k = 0; k <= most; k++) tail += law[k]!
  return Math.min(1, 2 * tail)
}

/** Share of the distinct orderings of y (all equally likely) with |S| at least as large. */
function exactByListing(x: Int32Array, y: Int32Array, s: number): number {
  const left = tieSizes(y)
  const placed: number[] = []
  let total = 0
  let extreme = 0
  const place = (score: number): void => {
    const at = placed.length
    if (at === x.length) {
      total++
      if (Math.abs(score) >= Math.abs(s)) extreme++
      return
    }
    for (let code = 0; code < left.length; code++) {
      if (left[code] === 0) continue
      let gain = 0
      for (let j = 0; j < at; j++) gain += Math.sign(x[at]! - x[j]!) * Math.sign(code - placed[j]!)
      left[code]!--
      placed.push(code)
      place(score + gain)
      placed.pop()
      left[code]!++
    }
  }
  place(0)
  return extreme / total
}
