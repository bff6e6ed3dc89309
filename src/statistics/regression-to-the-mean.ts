import t from '@stdlib/stats-base-dists-t'
import { correlationOf, covarianceOf, isNoSpread, largestOf, meanOf, varianceOf } from './moments.ts'
import { normalTail } from './normal-tail.ts'
import { pairedValues } from './paired-values.ts'
import { CannotEstimate, type Maybe } from './shared.ts'

export interface RegressionToTheMean {
  readonly method: 'expected regression to the mean'
  /** Cut-off in standard deviations of the (mean) baseline, positive away from the mean on the side selected. */
  readonly z: number
  readonly inverseMills: number
  /** By how much the selected are expected to move towards the mean with nothing done. */
  readonly expectedEffect: number
  readonly meanSelected: number
  readonly expectedFollowUp: number
}

/**
 * Expected regression to the mean of those selected beyond a cut-off on the mean of m baselines: within/m ÷ sqrt(between + within/m)
 * × φ(z)/(1−Φ(z)) (Davis 1976, Am J Epidemiol 104:493–498; Barnett, van der Pols and Dobson 2005, Int J Epidemiol 34:215–220,
 * equation 3).
 *
 * @throws CannotEstimate unless sd > 0, 0 ≤ correlation ≤ 1 and m is a whole number of 1 or more
 */
export function regressionToTheMean(options: {
  readonly mean: number
  readonly sd: number
  /** Of two measurements of the same person. */
  readonly correlation: number
  readonly cutoff: number
  readonly selected: 'above' | 'below'
  readonly baselineMeasurements?: number
}): RegressionToTheMean {
  const { mean, sd, correlation, cutoff, selected, baselineMeasurements: m = 1 } = options
  if (!(sd > 0)) throw new CannotEstimate('regressionToTheMean', 'an sd above 0', String(sd))
  if (!(correlation >= 0 && correlation <= 1))
    throw new CannotEstimate('regressionToTheMean', 'a correlation from 0 to 1', String(correlation))
  if (!(Number.isInteger(m) && m >= 1))
    throw new CannotEstimate('regressionToTheMean', 'one baseline or more', String(m))
  const between = correlation * sd ** 2
  const within = (1 - correlation) * sd ** 2
  const spread = Math.sqrt(between + within / m)
  const sign = selected === 'above' ? 1 : -1
  const z = (sign * (cutoff - mean)) / spread
  const inverseMills = normalTail(-z).hazard
  const meanSelected = mean + sign * spread * inverseMills
  return {
    method: 'expected regression to the mean',
    z,
    inverseMills,
    expectedEffect: (within / m / spread) * inverseMills,
    meanSelected,
    expectedFollowUp: mean + (between / spread ** 2) * (meanSelected - mean),
  }
}

export interface ChangeNetOfRegression {
  readonly method: 'change net of regression to the mean (Mee and Chua)'
  readonly n: number
  readonly nDropped: number
  readonly df: number
  readonly intercept: number
  readonly interceptStandardError: number
  readonly slope: number
  readonly slopeStandardError: number
  /** Intercept less population mean. */
  readonly change: number
  /** Null, and the p-values likewise, where the pairs lie on one line. */
  readonly t: number | null
  readonly pGreater: number | null
  readonly pTwoSided: number | null
  /** Slope against 1: whether there is regression to the mean at all. */
  readonly slopeT: number | null
  readonly slopeP: number | null
  /** Null where the after does not vary. */
  readonly correlation: number | null
  /** Mean after, had there been regression only. */
  readonly expectedMeanWithoutEffect: number
}

/**
 * Change that regression to the mean does not explain: after on (before − population mean), intercept against the population mean (Mee
 * and Chua 1991, Am Stat 45:39–42). A pair with a missing half is dropped and counted.
 *
 * @throws CannotEstimate for fewer than 3 complete pairs or a before without spread
 */
export function changeNetOfRegression(
  before: ArrayLike<Maybe>,
  after: ArrayLike<Maybe>,
  populationMean: number,
): ChangeNetOfRegression {
  const { x, y, dropped } = pairedValues('changeNetOfRegression', before, after)
  const n = x.length
  if (n < 3) throw new CannotEstimate('changeNetOfRegression', 'three complete pairs', String(n))
  const spread = varianceOf(x)
  if (!(spread > 0))
    throw new CannotEstimate('changeNetOfRegression', 'values before that differ', 'all equal')
  const mx = meanOf(x)
  const my = meanOf(y)
  const slope = covarianceOf(x, y) / spread
  const intercept = my - slope * (mx - populationMean)
  const residual = y.reduce((sum, value, i) => sum + (value - my - slope * (x[i]! - mx)) ** 2, 0)
  const df = n - 2
  const s2 = residual / df
  const sxx = spread * (n - 1)
  const slopeStandardError = Math.sqrt(s2 / sxx)
  const interceptStandardError = Math.sqrt(s2 * (1 / n + (mx - populationMean) ** 2 / sxx))
  const change = intercept - populationMean
  const flat = isNoSpread(Math.sqrt(s2), Math.max(largestOf(x), largestOf(y)))
  const statistic = flat ? null : change / interceptStandardError
  const slopeT = flat ? null : (slope - 1) / slopeStandardError
  const twoSided = (value: number | null): number | null =>
    value === null ? null : Math.min(1, 2 * t.cdf(-Math.abs(value), df))
  return {
    method: 'change net of regression to the mean (Mee and Chua)',
    n,
    nDropped: dropped,
    df,
    intercept,
    interceptStandardError,
    slope,
    slopeStandardError,
    change,
    t: statistic,
    pGreater: statistic === null ? null : t.cdf(-statistic, df),
    pTwoSided: twoSided(statistic),
    slopeT,
    slopeP: twoSided(slopeT),
    correlation: correlationOf(x, y),
    expectedMeanWithoutEffect: populationMean + slope * (mx - populationMean),
  }
}
