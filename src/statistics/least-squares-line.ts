import tDistribution from '@stdlib/stats-base-dists-t'
import { completePairs } from './dense-codes.ts'
import { CannotEstimate, checkLevel, type Interval, type Maybe } from './shared.ts'

export interface LeastSquaresLine {
  readonly method: 'least-squares line'
  readonly slope: number
  readonly slopeError: number | null
  /** t interval of the slope; limits null with two points, where nothing is left to judge the spread by. */
  readonly interval: Interval
  readonly intercept: number
  readonly interceptError: number | null
  /** n - 2. */
  readonly df: number
  readonly t: number | null
  readonly p: number | null
  readonly residualSd: number | null
  readonly n: number
  readonly nDropped: number
}

/**
 * Least-squares line y = a + b x with a t interval of its slope: b = Sxy/Sxx, SE = s/√Sxx, s² = RSS/(n - 2).
 * Both sums are of deviations from the means (two passes), so that dates far from 0 do no harm.
 *
 * A pair with a missing half is dropped and counted. Points exactly on a line have a standard error of 0 and no p-value.
 *
 * Source: Draper and Smith (1998) Applied Regression Analysis, 3rd ed., section 1.4 (from memory).
 *
 * @throws CannotEstimate with fewer than two different values of x
 */
export function leastSquaresLine(
  x: ArrayLike<Maybe>,
  y: ArrayLike<Maybe>,
  { level = 0.95 }: { readonly level?: number } = {},
): LeastSquaresLine {
  checkLevel('leastSquaresLine', level)
  if (x.length !== y.length)
    throw new CannotEstimate('leastSquaresLine', 'as many y as x', `${y.length} and ${x.length}`)
  const pairs = completePairs(x, y)
  const n = pairs.x.length
  const meanX = mean(pairs.x)
  const meanY = mean(pairs.y)
  let sxx = 0
  let sxy = 0
  for (let i = 0; i < n; i++) {
    const dx = pairs.x[i]! - meanX
    sxx += dx * dx
    sxy += dx * (pairs.y[i]! - meanY)
  }
  if (!(sxx > (1e-14 * meanX) ** 2 * n) || pairs.x.every((value) => value === pairs.x[0]))
    throw new CannotEstimate('leastSquaresLine', 'two different values of x', n === 0 ? 'none' : 'one')
  const slope = sxy / sxx
  let rss = 0
  for (let i = 0; i < n; i++) rss += (pairs.y[i]! - meanY - slope * (pairs.x[i]! - meanX)) ** 2
  const df = n - 2
  const residualSd = df > 0 ? Math.sqrt(rss / df) : null
  const slopeError = residualSd === null ? null : residualSd / Math.sqrt(sxx)
  const t = slopeError === null || slopeError === 0 ? null : slope / slopeError
  const reach = slopeError === null ? null : tDistribution.quantile((1 + level) / 2, df) * slopeError
  return {
    method: 'least-squares line',
    slope,
    slopeError,
    interval: {
      lower: reach === null ? null : slope - reach,
      upper: reach === null ? null : slope + reach,
      level,
    },
    intercept: meanY - slope * meanX,
    interceptError: residualSd === null ? null : residualSd * Math.sqrt(1 / n + meanX ** 2 / sxx),
    df,
    t,
    p: t === null ? null : 2 * tDistribution.cdf(-Math.abs(t), df),
    residualSd,
    n,
    nDropped: pairs.dropped,
  }
}

const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length
