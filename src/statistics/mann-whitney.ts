import normal from '@stdlib/stats-base-dists-normal'
import { denseCodes, tieSizes } from './dense-codes.ts'
import { CannotEstimate, dropMissing, type Maybe } from './shared.ts'

export interface MannWhitney {
  readonly method: 'Mann-Whitney exact, conditional on ties' | 'Mann-Whitney normal, tie correction'
  readonly nA: number
  readonly nB: number
  readonly nDropped: number
  /** Pairs (a, b) with b above a, plus half of those tied. */
  readonly u: number
  readonly z: number | null
  /** Two-sided: chance of a rank sum at least as far from its mean; 1 where all values tie. */
  readonly p: number
}

export interface MannWhitneyOptions {
  /** Largest nA + nB for which the exact law is used; 40 unless given. */
  readonly exactUpTo?: number
}

/**
 * Mann-Whitney (Wilcoxon rank-sum) test that values of B and values of A come from one law.
 *
 * Missing values are dropped and counted. Exact: all ways to deal the midranks out to the two samples are equally likely. Otherwise
 * normal with the variance of the midranks, without continuity correction.
 *
 * Source: Mann and Whitney (1947) Ann Math Stat 18:50-60; the conditional law under ties as in the R package coin.
 *
 * @throws CannotEstimate where either sample is empty.
 */
export function mannWhitneyTest(
  a: ArrayLike<Maybe>,
  b: ArrayLike<Maybe>,
  options: MannWhitneyOptions = {},
): MannWhitney {
  const first = dropMissing(a)
  const second = dropMissing(b)
  const nA = first.known.length
  const nB = second.known.length
  if (nA === 0 || nB === 0)
    throw new CannotEstimate('mannWhitneyTest', 'a value in each sample', `${nA} and ${nB}`)
  const doubled = doubledMidranks(denseCodes([...first.known, ...second.known]))
  const n = nA + nB
  let sum = 0
  for (let i = nA; i < n; i++) sum += doubled[i]!
  const u = sum / 2 - (nB * (nB + 1)) / 2
  const exact = n <= (options.exactUpTo ?? 40)
  const mean = (n + 1) / 2
  const spread = doubled.reduce((total, r) => total + (r / 2 - mean) ** 2, 0)
  const variance = n > 1 ? (spread * nA * nB) / (n * (n - 1)) : 0
  const z = variance > 0 ? (u - (nA * nB) / 2) / Math.sqrt(variance) : null
  return {
    method: exact ? 'Mann-Whitney exact, conditional on ties' : 'Mann-Whitney normal, tie correction',
    nA,
    nB,
    nDropped: first.dropped + second.dropped,
    u,
    z,
    p: z === null ? 1 : exact ? exactRankSum(doubled, nB, sum) : 2 * normal.cdf(-Math.abs(z), 0, 1),
  }
}

function doubledMidranks(codes: Int32Array): Int32Array {
  const sizes = tieSizes(codes)
  const midranks: number[] = []
  let below = 0
  sizes.forEach((size, code) => {
    midranks[code] = 2 * below + size + 1
    below += size
  })
  return codes.map((code) => midranks[code]!)
}

/** Chance that the doubled rank sum of `size` of the items is at least as far from its mean as `sum`. */
function exactRankSum(doubled: Int32Array, size: number, sum: number): number {
  const n = doubled.length
  const most = doubled.reduce((a, b) => a + b, 0)
  // chance[k][w]: of the items so far, k were taken and their doubled ranks add to w, as a count of ways.
  const ways = Array.from({ length: size + 1 }, () => new Float64Array(most + 1))
  ways[0]![0] = 1
  for (const rank of doubled) {
    for (let k = size; k >= 1; k--) {
      const from = ways[k - 1]!
      const to = ways[k]!
      for (let w = most; w >= rank; w--) to[w]! += from[w - rank]!
    }
  }
  const law = ways[size]!
  const centre = size * (n + 1)
  const distance = Math.abs(sum - centre)
  let extreme = 0
  let total = 0
  law.forEach((count, w) => {
    total += count
    if (Math.abs(w - centre) >= distance) extreme += count
  })
  return Math.min(1, extreme / total)
}
