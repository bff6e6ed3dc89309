import normal from '@stdlib/stats-base-dists-normal'
import { hedgesCorrection, hedgesCorrectionApproximate } from './hedges-correction.ts'
import { correlationOf, isNoSpread, meanOf, standardDeviationOf } from './moments.ts'
import { noncentralityOf } from './noncentral-t-inverse.ts'
import { pairedValues } from './paired-values.ts'
import { CannotEstimate, checkLevel, type Interval, type Maybe } from './shared.ts'

/** Mean and spread of paired measurements, as a paper prints them. Change is after less before. */
export interface PairedSummary {
  readonly n: number
  readonly meanChange: number
  readonly sdChange: number
  /** Correlation of before and after; null where not known. */
  readonly correlation: number | null
  readonly sdBefore?: number
  readonly sdAfter?: number
}

/**
 * Standardised paired changes. Which standard deviation divides is in the name: z the change's, av the mean of the two, avRms
 * their root mean square, rm as z but brought to the scale of the raw scores, before the baseline's. Hedges' g of each is J times it.
 */
export interface PairedEffectSizes {
  readonly method: 'standardised paired change'
  readonly n: number
  readonly nDropped: number
  readonly df: number
  readonly meanChange: number
  readonly sdChange: number
  readonly correlation: number | null
  /** Exact small-sample correction; null below 2 degrees of freedom. */
  readonly correction: number | null
  readonly correctionApproximate: number
  readonly dZ: number | null
  readonly dZInterval: Interval
  /** J exact times d_z: the g that change is reported by. */
  readonly hedgesG: number | null
  readonly hedgesGInterval: Interval
  readonly hedgesGApproximate: number | null
  readonly dRm: number | null
  readonly dRmVariance: number | null
  /** Normal approximation. */
  readonly dRmInterval: Interval
  readonly gRm: number | null
  readonly gRmApproximate: number | null
  readonly gRmApproximateVariance: number | null
  readonly dAv: number | null
  readonly gAv: number | null
  readonly dAvRms: number | null
  readonly dAvRmsInterval: Interval
  readonly dBefore: number | null
  readonly gBefore: number | null
  /** Φ(d_z): chance that a normal change is above 0. */
  readonly probabilityOfSuperiority: number | null
}

const times = (a: number | null, b: number | null): number | null => (a === null || b === null ? null : a * b)

/** Divides, where there is something to divide by. */
const over = (a: number, b: number | undefined, size: number): number | null =>
  b === undefined || isNoSpread(b, size) ? null : a / b

/** Both ends times a factor that is not negative. */
const scaled = (interval: Interval, by: number | null): Interval => ({
  lower: times(interval.lower, by),
  upper: times(interval.upper, by),
  level: interval.level,
})

/** Noncentrality limits of a t statistic. */
function noncentralityInterval(t: number, df: number, level: number): Interval {
  return {
    lower: noncentralityOf(t, df, (1 + level) / 2),
    upper: noncentralityOf(t, df, (1 - level) / 2),
    level,
  }
}

/**
 * Standardised paired changes from a summary.
 * d_z = mean ÷ sd of the change (Cohen 1988, p. 48), its interval by noncentral t (Steiger and Fouladi 1997); d_rm = d_z
 * sqrt(2(1−r)) (Borenstein et al. 2009, equation 4.26 to 4.28, variance 4.28); d_av (Cumming 2012, p. 291); interval of
 * d_av over the root mean square by Algina and Keselman (2003, Educ Psychol Meas 63:537–553). A change without
 * spread has no d_z and no d_rm: null, never infinite.
 *
 * @throws CannotEstimate for fewer than 2 pairs
 */
export function pairedEffectSizesFromSummary(
  summary: PairedSummary & { readonly nDropped?: number },
  {
    level = 0.95,
    size = Math.abs(summary.meanChange),
  }: { readonly level?: number; readonly size?: number } = {},
): PairedEffectSizes {
  checkLevel('pairedEffectSizes', level)
  const { n, meanChange, sdChange, correlation: r } = summary
  if (!(n >= 2)) throw new CannotEstimate('pairedEffectSizes', 'two complete pairs', String(n))
  const df = n - 1
  const correction = hedgesCorrection(df)
  const approximate = hedgesCorrectionApproximate(df)
  const nothing: Interval = { lower: null, upper: null, level }
  const dZ = over(meanChange, sdChange, size)
  const ncp = dZ === null ? nothing : noncentralityInterval(dZ * Math.sqrt(n), df, level)
  const dZInterval = scaled(ncp, 1 / Math.sqrt(n))
  const dRm = dZ === null || r === null ? null : dZ * Math.sqrt(2 * (1 - r))
  const dRmVariance = dRm === null || r === null ? null : (1 / n + (dRm * dRm) / (2 * n)) * 2 * (1 - r)
  const reach = dRmVariance === null ? null : normal.quantile((1 + level) / 2, 0, 1) * Math.sqrt(dRmVariance)
  const { sdBefore, sdAfter } = summary
  const known = sdBefore !== undefined && sdAfter !== undefined
  const square = known ? sdBefore ** 2 + sdAfter ** 2 : 0
  const dAv = known ? over(meanChange, (sdBefore + sdAfter) / 2, size) : null
  const dAvRms = known ? over(meanChange, Math.sqrt(square / 2), size) : null
  const rmsFactor = dAvRms === null || dZ === null ? null : Math.sqrt((2 * sdChange ** 2) / (n * square))
  const dBefore = over(meanChange, sdBefore, size)
  return {
    method: 'standardised paired change',
    n,
    nDropped: summary.nDropped ?? 0,
    df,
    meanChange,
    sdChange,
    correlation: r,
    correction,
    correctionApproximate: approximate,
    dZ,
    dZInterval,
    hedgesG: times(dZ, correction),
    hedgesGInterval: scaled(dZInterval, correction),
    hedgesGApproximate: times(dZ, approximate),
    dRm,
    dRmVariance,
    dRmInterval: dRm === null || reach === null ? nothing : { lower: dRm - reach, upper: dRm + reach, level },
    gRm: times(dRm, correction),
    gRmApproximate: times(dRm, approximate),
    gRmApproximateVariance: times(dRmVariance, approximate ** 2),
    dAv,
    gAv: times(dAv, correction),
    dAvRms,
    dAvRmsInterval: rmsFactor === null ? nothing : scaled(ncp, rmsFactor),
    dBefore,
    gBefore: times(dBefore, correction),
    probabilityOfSuperiority: dZ === null ? null : normal.cdf(dZ, 0, 1),
  }
}

/**
 * Standardised paired changes of after less before ({@link pairedEffectSizesFromSummary} has the methods). A pair with
 * a missing half is dropped and counted.
 *
 * @throws CannotEstimate for fewer than 2 complete pairs
 */
export function pairedEffectSizes(
  before: ArrayLike<Maybe>,
  after: ArrayLike<Maybe>,
  { level = 0.95 }: { readonly level?: number } = {},
): PairedEffectSizes {
  const { x, y, dropped } = pairedValues('pairedEffectSizes', before, after)
  if (x.length < 2) throw new CannotEstimate('pairedEffectSizes', 'two complete pairs', String(x.length))
  const change = y.map((value, i) => value - x[i]!)
  const sdBefore = standardDeviationOf(x)
  const sdAfter = standardDeviationOf(y)
  const size = Math.max(...x.map(Math.abs), ...y.map(Math.abs))
  return pairedEffectSizesFromSummary(
    {
      n: x.length,
      nDropped: dropped,
      meanChange: meanOf(change),
      sdChange: standardDeviationOf(change),
      correlation: correlationOf(x, y),
      sdBefore,
      sdAfter,
    },
    { level, size },
  )
}
