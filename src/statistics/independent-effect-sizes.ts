import normal from '@stdlib/stats-base-dists-normal'
import { hedgesCorrection, hedgesCorrectionApproximate } from './hedges-correction.ts'
import { isNoSpread, meanOf, standardDeviationOf } from './moments.ts'
import { noncentralityOf } from './noncentral-t-inverse.ts'
import { CannotEstimate, checkLevel, dropMissing, type Interval, type Maybe } from './shared.ts'

/** Mean, SD and size of a group. */
export interface GroupSummary {
  readonly mean: number
  readonly sd: number
  readonly n: number
}

/** Standardised differences of two independent groups, first less second. */
export interface IndependentEffectSizes {
  readonly method: 'standardised difference of two groups'
  readonly first: GroupSummary
  readonly second: GroupSummary
  readonly nDropped: number
  readonly meanDifference: number
  readonly sdPooled: number
  readonly df: number
  readonly cohensD: number | null
  readonly cohensDInterval: Interval
  /** 1/n1 + 1/n2 + d²/(2(n1+n2)). */
  readonly cohensDVariance: number | null
  readonly cohensDNormalInterval: Interval
  readonly correction: number | null
  readonly correctionApproximate: number
  readonly hedgesG: number | null
  readonly hedgesGInterval: Interval
  /** The same variance with g in place of d (metafor's). */
  readonly hedgesGVariance: number | null
  readonly hedgesGApproximate: number | null
  readonly hedgesGApproximateVariance: number | null
  /** Divided by the root of the mean of the two variances. */
  readonly dAverageVariance: number | null
  /** Divided by the SD of the second group. */
  readonly glassDelta: number | null
  readonly glassDeltaInterval: Interval
  readonly glassDeltaCorrected: number | null
  /** Φ(d/√2): chance that one of the first group lies above one of the second, both normal. */
  readonly probabilityOfSuperiority: number | null
}

const times = (a: number | null, b: number | null): number | null => (a === null || b === null ? null : a * b)
const scaled = (i: Interval, by: number | null): Interval => ({
  lower: times(i.lower, by),
  upper: times(i.upper, by),
  level: i.level,
})

/** Interval of a standardised difference d whose t statistic is d / √h. */
function interval(d: number, h: number, df: number, level: number): Interval {
  const t = d / Math.sqrt(h)
  return {
    lower: noncentralityOf(t, df, (1 + level) / 2) * Math.sqrt(h),
    upper: noncentralityOf(t, df, (1 - level) / 2) * Math.sqrt(h),
    level,
  }
}

/**
 * Standardised differences from two summaries: Cohen's d with pooled SD (Cohen 1988, p. 66), Hedges' g (Hedges 1981), intervals by noncentral
 * t (Steiger and Fouladi 1997), variance of Borenstein et al. (2009, equation 4.20), Glass' delta with the second group's SD (Glass
 * 1976; interval Algina, Keselman and Penfield 2006).
 *
 * @throws CannotEstimate for a group of fewer than 2
 */
export function independentEffectSizesFromSummary(
  first: GroupSummary,
  second: GroupSummary,
  { level = 0.95, nDropped = 0 }: { readonly level?: number; readonly nDropped?: number } = {},
): IndependentEffectSizes {
  checkLevel('independentEffectSizes', level)
  if (!(first.n >= 2 && second.n >= 2))
    throw new CannotEstimate(
      'independentEffectSizes',
      'two values in each group',
      `${first.n} and ${second.n}`,
    )
  const { n: n1, sd: s1 } = first
  const { n: n2, sd: s2 } = second
  const df = n1 + n2 - 2
  const meanDifference = first.mean - second.mean
  const sdPooled = Math.sqrt(((n1 - 1) * s1 ** 2 + (n2 - 1) * s2 ** 2) / df)
  const size = Math.max(Math.abs(first.mean), Math.abs(second.mean))
  const over = (sd: number): number | null => (isNoSpread(sd, size) ? null : meanDifference / sd)
  const d = over(sdPooled)
  const h = 1 / n1 + 1 / n2
  const nothing: Interval = { lower: null, upper: null, level }
  const correction = hedgesCorrection(df)
  const approximate = hedgesCorrectionApproximate(df)
  const g = times(d, correction)
  const variance = (effect: number | null): number | null =>
    effect === null ? null : h + effect ** 2 / (2 * (n1 + n2))
  const dVariance = variance(d)
  const z = normal.quantile((1 + level) / 2, 0, 1)
  const cohensDInterval = d === null ? nothing : interval(d, h, df, level)
  const glass = over(s2)
  return {
    method: 'standardised difference of two groups',
    first,
    second,
    nDropped,
    meanDifference,
    sdPooled,
    df,
    cohensD: d,
    cohensDInterval,
    cohensDVariance: dVariance,
    cohensDNormalInterval:
      d === null || dVariance === null
        ? nothing
        : { lower: d - z * Math.sqrt(dVariance), upper: d + z * Math.sqrt(dVariance), level },
    correction,
    correctionApproximate: approximate,
    hedgesG: g,
    hedgesGInterval: scaled(cohensDInterval, correction),
    hedgesGVariance: variance(g),
    hedgesGApproximate: times(d, approximate),
    hedgesGApproximateVariance: times(dVariance, approximate ** 2),
    dAverageVariance: over(Math.sqrt((s1 ** 2 + s2 ** 2) / 2)),
    glassDelta: glass,
    glassDeltaInterval:
      glass === null ? nothing : interval(glass, 1 / n2 + s1 ** 2 / (n1 * s2 ** 2), n2 - 1, level),
    glassDeltaCorrected: times(glass, hedgesCorrection(n2 - 1)),
    probabilityOfSuperiority: d === null ? null : normal.cdf(d / Math.SQRT2, 0, 1),
  }
}

/**
 * Standardised differences of two groups of values ({@link independentEffectSizesFromSummary} has the methods). Missing values are
 * dropped and counted.
 *
 * @throws CannotEstimate for a group of fewer than 2
 */
export function independentEffectSizes(
  first: ArrayLike<Maybe>,
  second: ArrayLike<Maybe>,
  options: { readonly level?: number } = {},
): IndependentEffectSizes {
  const a = dropMissing(first)
  const b = dropMissing(second)
  const summary = (xs: readonly number[]): GroupSummary => ({
    mean: xs.length > 0 ? meanOf(xs) : Number.NaN,
    sd: standardDeviationOf(xs),
    n: xs.length,
  })
  return independentEffectSizesFromSummary(summary(a.known), summary(b.known), {
    ...options,
    nDropped: a.dropped + b.dropped,
  })
}
