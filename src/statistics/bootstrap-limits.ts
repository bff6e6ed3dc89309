import normal from '@stdlib/stats-base-dists-normal'
import type { Interval } from './shared.ts'

/** What every bootstrap reports of its resampled statistics. */
export interface BootstrapSummary {
  readonly estimate: number
  /** Resamples asked for. */
  readonly draws: number
  /** Resamples on which the statistic could not be computed; left out of everything below. */
  readonly failedDraws: number
  readonly mean: number
  readonly standardError: number
  /** Percentile interval. */
  readonly percentile: Interval
  /** Bias-corrected and accelerated interval; limits null where the jackknife or the bias correction is undefined. */
  readonly bca: Interval
  /** Normal quantile of the share of resamples below the estimate, ties counted half; infinite if all lie on one side. */
  readonly biasCorrection: number
  /** Acceleration from the jackknife over the resampling units; 0 where the statistic does not vary, null if it failed. */
  readonly acceleration: number | null
}

/** Sums in ascending order of size would cost a sort; compensated summation keeps the jackknife's third moment honest. */
function compensatedSum(values: ArrayLike<number>): number {
  let sum = 0
  let carry = 0
  for (let i = 0; i < values.length; i++) {
    const term = values[i]! - carry
    const next = sum + term
    carry = next - sum - term
    sum = next
  }
  return sum
}

/** Acceleration from leave-one-out values: sum d^3 / (6 (sum d^2)^1.5), d = their mean less each. Efron (1987) JASA 82:171-185. */
export function jackknifeAcceleration(leaveOneOut: ArrayLike<number>): number | null {
  const n = leaveOneOut.length
  if (n < 2) return null
  const mean = compensatedSum(leaveOneOut) / n
  return accelerationOf(
    Float64Array.from(leaveOneOut, (value) => mean - value),
    Math.abs(mean),
  )
}

/** Acceleration from influence values that add to 0; 0 where they are all rounding error beside `scale`. */
export function accelerationOf(influence: Float64Array, scale: number): number | null {
  let second = 0
  let third = 0
  let largest = 0
  for (const d of influence) {
    if (!Number.isFinite(d)) return null
    second += d * d
    third += d * d * d
    largest = Math.max(largest, Math.abs(d))
  }
  if (largest <= 1e-14 * scale || second === 0) return 0
  return third / (6 * second ** 1.5)
}

/** Levels at which the BCa limits are read: Phi(z0 + (z0 + z) / (1 - a (z0 + z))). */
export function bcaLevels(biasCorrection: number, acceleration: number, level: number): [number, number] {
  const at = (p: number) => {
    const shifted = biasCorrection + normal.quantile(p, 0, 1)
    return normal.cdf(biasCorrection + shifted / (1 - acceleration * shifted), 0, 1)
  }
  return [at((1 - level) / 2), at((1 + level) / 2)]
}

/** Order statistic (B + 1) p of ascending values, linear between neighbours, held at the ends (Hyndman-Fan type 6). */
export function orderStatisticQuantile(sorted: ArrayLike<number>, p: number): number {
  const n = sorted.length
  const place = Math.min(n, Math.max(1, (n + 1) * p))
  const low = Math.floor(place)
  const fraction = place - low
  const value = sorted[low - 1]!
  if (fraction === 0 || value === sorted[low]) return value
  return value + fraction * (sorted[low]! - value)
}

/**
 * Percentile and BCa limits of resampled statistics. NaN among `resampled` counts as a failed draw; infinite values stay, at the ends.
 * Source: Efron and Tibshirani (1993) An Introduction to the Bootstrap, chapters 13 and 14; Davison and Hinkley (1997) for (B + 1) p.
 */
export function summariseDraws(
  estimate: number,
  resampled: Float64Array,
  acceleration: number | null,
  level: number,
): BootstrapSummary {
  const sorted = resampled.filter((value) => !Number.isNaN(value)).sort()
  const n = sorted.length
  const mean = sorted.reduce((a, b) => a + b, 0) / n
  const squares = sorted.reduce((a, b) => a + (b - mean) ** 2, 0)
  const tolerance = 1e-12 * Math.abs(estimate)
  let below = 0
  for (const value of sorted) {
    if (value < estimate - tolerance) below++
    else if (value <= estimate + tolerance) below += 0.5
  }
  const biasCorrection = n > 0 ? normal.quantile(below / n, 0, 1) : Number.NaN
  const limit = (p: number) => (n > 0 ? orderStatisticQuantile(sorted, p) : null)
  const [low, high] =
    acceleration !== null && Number.isFinite(biasCorrection)
      ? bcaLevels(biasCorrection, acceleration, level)
      : [null, null]
  return {
    estimate,
    draws: resampled.length,
    failedDraws: resampled.length - n,
    mean,
    standardError: Math.sqrt(squares / (n - 1)),
    percentile: { lower: limit((1 - level) / 2), upper: limit((1 + level) / 2), level },
    bca: { lower: low === null ? null : limit(low), upper: high === null ? null : limit(high), level },
    biasCorrection,
    acceleration,
  }
}
