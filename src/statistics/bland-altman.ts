import normal from '@stdlib/stats-base-dists-normal'
import t from '@stdlib/stats-base-dists-t'
import { covarianceOf, isNoSpread, meanOf, standardDeviationOf, varianceOf } from './moments.ts'
import { noncentralTQuantile } from './noncentral-t-inverse.ts'
import { pairedValues } from './paired-values.ts'
import { CannotEstimate, checkLevel, type Interval, type Maybe } from './shared.ts'

export interface BlandAltman {
  readonly method: 'Bland-Altman limits of agreement'
  readonly n: number
  readonly nDropped: number
  /** Mean of first less second. */
  readonly bias: number
  readonly biasInterval: Interval
  readonly biasStandardError: number
  readonly sdDifference: number
  /** Bias ∓ z SD, z the normal quantile 1.95996 that 1.96 rounds. */
  readonly lowerLimit: number
  readonly upperLimit: number
  /** s sqrt(1/n + z²/(2(n−1))), and the 1986 approximation sqrt(3 s²/n). */
  readonly limitStandardError: number
  readonly limitStandardError1986: number
  readonly lowerLimitInterval: Interval
  readonly upperLimitInterval: Interval
  /** Exact intervals of the limits by noncentral t. */
  readonly lowerLimitExactInterval: Interval
  readonly upperLimitExactInterval: Interval
  /** Regression of difference on mean, and the p-value of its slope; null where the means do not vary, the p-value also
   * where n is 2. */
  readonly slopeOnMean: number | null
  readonly slopeP: number | null
  /** 1.96 sqrt(mean squared difference). */
  readonly repeatabilityCoefficient: number
}

const WIDTH = normal.quantile(0.975, 0, 1)

/**
 * Limits of agreement of two measurements of the same things (Bland and Altman 1986, Lancet i:307–310; standard error of the limits
 * 1999, Stat Methods Med Res 8:135–160, section 3.1; exact intervals Carkeet 2015, Optom Vis Sci 92:e71–e80). A pair with
 * a missing half is dropped and counted.
 *
 * @throws CannotEstimate for fewer than 2 complete pairs
 */
export function blandAltman(
  first: ArrayLike<Maybe>,
  second: ArrayLike<Maybe>,
  { level = 0.95 }: { readonly level?: number } = {},
): BlandAltman {
  checkLevel('blandAltman', level)
  const { x, y, dropped } = pairedValues('blandAltman', first, second)
  const n = x.length
  if (n < 2) throw new CannotEstimate('blandAltman', 'two complete pairs', String(n))
  const d = x.map((value, i) => value - y[i]!)
  const bias = meanOf(d)
  const s = standardDeviationOf(d)
  const quantile = t.quantile((1 + level) / 2, n - 1)
  const limitStandardError = s * Math.sqrt(1 / n + WIDTH ** 2 / (2 * (n - 1)))
  const around = (centre: number, reach: number): Interval => ({
    lower: centre - reach,
    upper: centre + reach,
    level,
  })
  const lowerLimit = bias - WIDTH * s
  const upperLimit = bias + WIDTH * s
  const exact = (probability: number): number =>
    (noncentralTQuantile(probability, n - 1, WIDTH * Math.sqrt(n)) / Math.sqrt(n)) * s
  const near = exact((1 - level) / 2)
  const far = exact((1 + level) / 2)
  return {
    method: 'Bland-Altman limits of agreement',
    n,
    nDropped: dropped,
    bias,
    biasStandardError: s / Math.sqrt(n),
    biasInterval: around(bias, (quantile * s) / Math.sqrt(n)),
    sdDifference: s,
    lowerLimit,
    upperLimit,
    limitStandardError,
    limitStandardError1986: Math.sqrt((3 * s * s) / n),
    lowerLimitInterval: around(lowerLimit, quantile * limitStandardError),
    upperLimitInterval: around(upperLimit, quantile * limitStandardError),
    lowerLimitExactInterval: { lower: bias - far, upper: bias - near, level },
    upperLimitExactInterval: { lower: bias + near, upper: bias + far, level },
    ...slope(
      x.map((value, i) => (value + y[i]!) / 2),
      d,
    ),
    repeatabilityCoefficient: WIDTH * Math.sqrt(meanOf(d.map((value) => value * value))),
  }
}

function slope(means: readonly number[], differences: readonly number[]) {
  const n = means.length
  const spread = varianceOf(means)
  if (isNoSpread(Math.sqrt(spread), Math.max(...means.map(Math.abs))))
    return { slopeOnMean: null, slopeP: null }
  const b = covarianceOf(means, differences) / spread
  const mx = meanOf(means)
  const my = meanOf(differences)
  // Two points lie on their line: there is nothing to judge its slope by.
  if (n < 3) return { slopeOnMean: b, slopeP: null }
  const residual = differences.reduce((sum, d, i) => sum + (d - my - b * (means[i]! - mx)) ** 2, 0)
  const error = Math.sqrt(residual / (n - 2) / (spread * (n - 1)))
  return { slopeOnMean: b, slopeP: error > 0 ? Math.min(1, 2 * t.cdf(-Math.abs(b / error), n - 2)) : 0 }
}

/** Standard normal quantile of a two-sided level, for pages that say how wide "95 %" is. */
export const twoSidedNormalQuantile = (level: number): number => normal.quantile((1 + level) / 2, 0, 1)
