import t from '@stdlib/stats-base-dists-t'
import { correlationOf, isNoSpread, meanOf, standardDeviationOf } from './moments.ts'
import { pairedValues } from './paired-values.ts'
import { CannotEstimate, checkLevel, type Interval, type Maybe } from './shared.ts'

export interface PairedTTest {
  readonly method: 'paired t test'
  /** Complete pairs. */
  readonly n: number
  readonly nDropped: number
  /** Mean of after less before. */
  readonly meanChange: number
  readonly sdChange: number
  readonly standardError: number
  /** Null where the change has no spread. */
  readonly t: number | null
  readonly df: number
  readonly pTwoSided: number | null
  /** Against a mean change of 0 or less. */
  readonly pGreater: number | null
  readonly pLess: number | null
  readonly interval: Interval
  readonly meanBefore: number
  readonly meanAfter: number
  readonly sdBefore: number
  readonly sdAfter: number
  /** Pearson correlation of before and after; null where either has no spread. */
  readonly correlation: number | null
}

/**
 * Paired t test of after less before (Student 1908, Biometrika 6:1–25). A pair with a missing half is dropped and counted.
 *
 * @throws CannotEstimate for fewer than 2 complete pairs
 */
export function pairedTTest(
  before: ArrayLike<Maybe>,
  after: ArrayLike<Maybe>,
  { level = 0.95 }: { readonly level?: number } = {},
): PairedTTest {
  checkLevel('pairedTTest', level)
  const { x, y, dropped } = pairedValues('pairedTTest', before, after)
  const n = x.length
  if (n < 2) throw new CannotEstimate('pairedTTest', 'two complete pairs', String(n))
  const change = y.map((after_, i) => after_ - x[i]!)
  const meanChange = meanOf(change)
  const sdChange = standardDeviationOf(change)
  const size = Math.max(...x.map(Math.abs), ...y.map(Math.abs))
  const flat = isNoSpread(sdChange, size)
  const standardError = sdChange / Math.sqrt(n)
  const df = n - 1
  const statistic = flat ? null : meanChange / standardError
  const reach = t.quantile((1 + level) / 2, df) * standardError
  const sdBefore = standardDeviationOf(x)
  const sdAfter = standardDeviationOf(y)
  return {
    method: 'paired t test',
    n,
    nDropped: dropped,
    meanChange,
    sdChange,
    standardError,
    t: statistic,
    df,
    pTwoSided: statistic === null ? null : Math.min(1, 2 * t.cdf(-Math.abs(statistic), df)),
    pGreater: statistic === null ? null : t.cdf(-statistic, df),
    pLess: statistic === null ? null : t.cdf(statistic, df),
    interval: { lower: meanChange - reach, upper: meanChange + reach, level },
    meanBefore: meanOf(x),
    meanAfter: meanOf(y),
    sdBefore,
    sdAfter,
    correlation: correlationOf(x, y),
  }
}
