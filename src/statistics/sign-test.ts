import binomial from '@stdlib/stats-base-dists-binomial'
import { binomialMinimumLikelihoodP, binomialUpperTail } from './poisson-rate.ts'
import { CannotEstimate, checkLevel, type Interval, type Maybe } from './shared.ts'
import { signedDifferences } from './wilcoxon-signed-rank.ts'

export interface SignTest {
  readonly method: 'sign test, exact'
  readonly n: number
  readonly nDropped: number
  readonly nPositive: number
  readonly nNegative: number
  readonly nZero: number
  /** Pairs without a change are left out of the test; 1 where no pair changes. */
  readonly pTwoSided: number
  readonly pGreater: number
  readonly pLess: number
  /** They stay in the median change and its interval. */
  readonly medianChange: number
  readonly interval: Interval
  /** Level that the interval has; without bounds where the pairs are too few. */
  readonly achievedLevel: number
}

/**
 * Sign test of after less before (Dixon and Mood 1946, J Am Stat Assoc 41:557–566), with the median change and its interval between
 * order statistics q and n + 1 − q, q the binomial quantile of (1 − level)/2 (Conover 1999, section 3.2).
 *
 * @throws CannotEstimate where there is no complete pair
 */
export function signTest(
  before: ArrayLike<Maybe>,
  after: ArrayLike<Maybe>,
  { level = 0.95 }: { readonly level?: number } = {},
): SignTest {
  checkLevel('signTest', level)
  const { differences, dropped } = signedDifferences('signTest', before, after)
  const sorted = differences.toSorted((a, b) => a - b)
  const n = sorted.length
  if (n === 0) throw new CannotEstimate('signTest', 'a complete pair', '0')
  const up = sorted.filter((d) => d > 0).length
  const down = sorted.filter((d) => d < 0).length
  let q = 0
  while (binomial.cdf(q, n, 0.5) < (1 - level) / 2) q++
  const half = n >> 1
  return {
    method: 'sign test, exact',
    n,
    nDropped: dropped,
    nPositive: up,
    nNegative: down,
    nZero: n - up - down,
    pTwoSided: up + down === 0 ? 1 : binomialMinimumLikelihoodP(up, up + down, 0.5),
    pGreater: binomialUpperTail(up, up + down, 0.5),
    pLess: up + down === 0 ? 1 : binomial.cdf(up, up + down, 0.5),
    medianChange: n % 2 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2,
    interval:
      q === 0
        ? { lower: -Infinity, upper: Infinity, level }
        : { lower: sorted[q - 1]!, upper: sorted[n - q]!, level },
    achievedLevel: q === 0 ? 1 : 1 - 2 * binomial.cdf(q - 1, n, 0.5),
  }
}
