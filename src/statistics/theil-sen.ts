import normal from '@stdlib/stats-base-dists-normal'
import { completePairs } from './dense-codes.ts'
import { type Kendall, type KendallOptions, kendall } from './kendall.ts'
import { CannotEstimate, checkLevel, type Interval, type Maybe } from './shared.ts'

export interface TheilSen {
  readonly method: 'Theil-Sen'
  readonly n: number
  readonly nDropped: number
  /** Units of y per unit of x. */
  readonly slope: number
  /** Sen's interval of the slope; infinite where there are too few pairs to bound it at this level. */
  readonly interval: Interval
  /** median(y) - slope median(x). */
  readonly interceptFromMedians: number
  /** median(y - slope x). */
  readonly interceptMedianResidual: number
  /** Pairs with different x. */
  readonly nSlopes: number
  readonly kendall: Kendall
}

export interface TheilSenOptions extends KendallOptions {
  /** Confidence level, 0.95 unless given. */
  readonly level?: number
}

/**
 * Theil-Sen slope: the median of the slopes of all pairs of points with different x, with Sen's interval and Kendall's tau.
 *
 * A row with either half missing is dropped and counted.
 *
 * The interval takes the slopes at ranks round((N - C) / 2) and round((N + C) / 2) + 1 of N, C = z sqrt(var S) with the variance of Kendall's
 * S under ties, halves rounded to even; it rests on a normal approximation and on exchangeable errors, and is rough below
 * about 10 points.
 *
 * Source: Sen (1968) JASA 63:1379-1389, section 6 (from memory); Theil (1950).
 *
 * @throws CannotEstimate for fewer than 2 complete rows, or all x equal.
 */
export function theilSen(x: ArrayLike<Maybe>, y: ArrayLike<Maybe>, options: TheilSenOptions = {}): TheilSen {
  const level = options.level ?? 0.95
  checkLevel('theilSen', level)
  if (x.length !== y.length)
    throw new CannotEstimate('theilSen', 'as many y as x', `${y.length} and ${x.length}`)
  const pairs = completePairs(x, y)
  const n = pairs.x.length
  if (n < 2) throw new CannotEstimate('theilSen', 'two complete rows', String(n))
  const slopes = pairwiseSlopes(pairs.x, pairs.y)
  if (slopes.length === 0) throw new CannotEstimate('theilSen', 'two different x', 'all x equal')
  const slope = medianOfSorted(slopes)
  const tau = kendall(pairs.x, pairs.y, options)
  const spread = normal.quantile((1 + level) / 2, 0, 1) * Math.sqrt(tau.varianceOfS)
  const low = roundHalfToEven((slopes.length - spread) / 2)
  const high = roundHalfToEven((slopes.length + spread) / 2) + 1
  const residuals = Float64Array.from(pairs.y, (value, i) => value - slope * pairs.x[i]!).sort()
  return {
    method: 'Theil-Sen',
    n,
    nDropped: pairs.dropped,
    slope,
    interval: {
      lower: low >= 1 ? slopes[low - 1]! : -Infinity,
      upper: high <= slopes.length ? slopes[high - 1]! : Infinity,
      level,
    },
    interceptFromMedians:
      medianOfSorted(Float64Array.from(pairs.y).sort()) -
      slope * medianOfSorted(Float64Array.from(pairs.x).sort()),
    interceptMedianResidual: medianOfSorted(residuals),
    nSlopes: slopes.length,
    kendall: { ...tau, nDropped: pairs.dropped },
  }
}

function pairwiseSlopes(x: readonly number[], y: readonly number[]): Float64Array {
  const slopes = new Float64Array((x.length * (x.length - 1)) / 2)
  let count = 0
  for (let i = 1; i < x.length; i++) {
    for (let j = 0; j < i; j++) {
      const run = x[i]! - x[j]!
      if (run !== 0) slopes[count++] = (y[i]! - y[j]!) / run
    }
  }
  return slopes.subarray(0, count).sort()
}

/** Median of ascending values, the mean of the middle two for an even count. */
export function medianOfSorted(sorted: ArrayLike<number>): number {
  const middle = Math.floor(sorted.length / 2)
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2
}

/** The nearest whole number, halves to the even one (as IEEE 754 and R round). */
export function roundHalfToEven(x: number): number {
  const floor = Math.floor(x)
  const excess = x - floor
  if (excess !== 0.5) return Math.round(x)
  return floor % 2 === 0 ? floor : floor + 1
}
