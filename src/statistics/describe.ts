import normal from '@stdlib/stats-base-dists-normal'
import { quantileRankSorted } from 'simple-statistics'
import { meanOf, varianceOf } from './moments.ts'
import { dropMissing, type Maybe } from './shared.ts'

export interface Description {
  readonly method: 'description'
  readonly n: number
  readonly nDropped: number
  readonly mean: number | null
  /** Divisor n − 1; null for fewer than two. */
  readonly variance: number | null
  readonly sd: number | null
  readonly standardError: number | null
  readonly minimum: number | null
  readonly maximum: number | null
  readonly median: number | null
  /** Median absolute deviation as it is, and scaled to the SD of a normal: × 1.4826 (R), ÷ Φ⁻¹(0.75). */
  readonly mad: number | null
  readonly madScaled: number | null
  readonly madOverQuantile: number | null
  /** Third standardised moment, its small-sample adjustment, and with the sample SD; null without spread. */
  readonly skewG1: number | null
  readonly skewAdjusted: number | null
  readonly skewB1: number | null
  /** Quantile at a probability by Hyndman and Fan's type 7 (R's default) or 8 (median-unbiased); null of none. */
  quantile(probability: number, type?: 7 | 8): number | null
}

/** Types 7 and 8 of Hyndman and Fan (1996, Am Stat 50:361–365) of sorted values. */
function quantileOf(sorted: readonly number[], p: number, type: 7 | 8): number | null {
  const n = sorted.length
  if (n === 0) return null
  const h = type === 7 ? (n - 1) * p + 1 : (n + 1 / 3) * p + 1 / 3
  const slack = 4 * Number.EPSILON
  const low = Math.min(Math.max(Math.floor(h + slack), 1), n)
  const fraction = Math.abs(h - low) < slack ? 0 : Math.min(Math.max(h - low, 0), 1)
  const below = sorted[low - 1]!
  return fraction === 0 ? below : below + fraction * (sorted[Math.min(low, n - 1)]! - below)
}

/**
 * Descriptive figures of values. Missing ones are dropped and counted; what a few values cannot say is null, never 0.
 * Skewness g1, G1 and b1 as named by Joanes and Gill (1998, Statistician 47:183–189).
 */
export function describe(values: ArrayLike<Maybe>): Description {
  const { known, dropped } = dropMissing(values)
  const sorted = known.toSorted((a, b) => a - b)
  const n = known.length
  const quantile = (p: number, type: 7 | 8 = 7): number | null => quantileOf(sorted, p, type)
  const mean = n > 0 ? meanOf(known) : null
  const variance = n > 1 ? varianceOf(known) : null
  const sd = variance === null ? null : Math.sqrt(variance)
  const median = quantile(0.5)
  const mad =
    median === null
      ? null
      : quantileOf(
          known.map((x) => Math.abs(x - median)).sort((a, b) => a - b),
          0.5,
          7,
        )
  const flat = n < 2 || sorted[0] === sorted[n - 1]
  const g1 = flat ? null : skew(known, mean!)
  return {
    method: 'description',
    n,
    nDropped: dropped,
    mean,
    variance,
    sd,
    standardError: sd === null ? null : sd / Math.sqrt(n),
    minimum: sorted[0] ?? null,
    maximum: sorted[n - 1] ?? null,
    median,
    mad,
    madScaled: mad === null ? null : mad * 1.4826,
    madOverQuantile: mad === null ? null : mad / normal.quantile(0.75, 0, 1),
    skewG1: g1,
    skewAdjusted: g1 === null || n < 3 ? null : (g1 * Math.sqrt(n * (n - 1))) / (n - 2),
    skewB1: g1 === null ? null : g1 * ((n - 1) / n) ** 1.5,
    quantile,
  }
}

function skew(xs: readonly number[], mean: number): number {
  // In units of the farthest value: cubes of very large or very small ones leave the range of a double.
  const unit = xs.reduce((far, x) => Math.max(far, Math.abs(x - mean)), 0)
  let second = 0
  let third = 0
  for (const x of xs) {
    second += ((x - mean) / unit) ** 2
    third += ((x - mean) / unit) ** 3
  }
  return third / xs.length / (second / xs.length) ** 1.5
}

/** Share of the known values at or below one: where it stands among the others; null of none. */
export function percentileRank(values: ArrayLike<Maybe>, value: number): number | null {
  const sorted = dropMissing(values).known.sort((a, b) => a - b)
  return sorted.length === 0 ? null : quantileRankSorted(sorted, value)
}
