import betainc from '@stdlib/math-base-special-betainc'
import f from '@stdlib/stats-base-dists-f'
import { meanOf } from './moments.ts'
import { CannotEstimate, checkLevel, type Interval, isKnown, type Maybe } from './shared.ts'

/** An estimate with its interval. Negative values stay as they come. */
export interface IntraclassCorrelation {
  readonly estimate: number | null
  readonly interval: Interval
}

export interface IntraclassCorrelations {
  readonly method: 'Shrout-Fleiss intraclass correlations'
  readonly nSubjects: number
  readonly nRaters: number
  /** Subjects left out since a rating is missing. */
  readonly nDropped: number
  readonly meanSquareBetween: number
  readonly meanSquareWithin: number
  readonly meanSquareRaters: number
  readonly meanSquareResidual: number
  /** One rating; raters drawn anew for each subject. */
  readonly icc11: IntraclassCorrelation
  /** One rating; the same raters, drawn from many: absolute agreement. */
  readonly icc21: IntraclassCorrelation
  /** One rating; these raters only: consistency. */
  readonly icc31: IntraclassCorrelation
  /** The mean of all k ratings, likewise. */
  readonly icc1k: IntraclassCorrelation
  readonly icc2k: IntraclassCorrelation
  readonly icc3k: IntraclassCorrelation
  /** F statistics of the one-way and the two-way model, with their p-values. */
  readonly f1: number
  readonly f3: number
  readonly p1: number
  readonly p3: number
}

/** P(F > x) without cancellation: the incomplete beta function of the other tail. */
const fUpperTail = (x: number, df1: number, df2: number): number =>
  x === Infinity ? 0 : Number.isNaN(x) ? Number.NaN : betainc(df2 / (df2 + df1 * x), df2 / 2, df1 / 2)

const spearmanBrown = (x: number | null, k: number): number | null =>
  x === null || 1 + (k - 1) * x <= 0 ? null : (k * x) / (1 + (k - 1) * x)

/** What the formulas leave undefined is null. */
const finite = (x: number): number | null => (Number.isFinite(x) ? x : null)

/** Both ends of ICC(2,1) by Satterthwaite's degrees of freedom (Shrout and Fleiss 1979, p. 424). */
function agreementInterval(
  n: number,
  k: number,
  msb: number,
  msj: number,
  mse: number,
  icc: number,
  level: number,
): Interval {
  const fj = msj / mse
  const top = (k - 1) * (n - 1) * (k * icc * fj + n * (1 + (k - 1) * icc) - k * icc) ** 2
  const bottom = (n - 1) * k ** 2 * icc ** 2 * fj ** 2 + (n * (1 + (k - 1) * icc) - k * icc) ** 2
  const v = top / bottom
  const high = f.quantile((1 + level) / 2, n - 1, v)
  const low = f.quantile((1 + level) / 2, v, n - 1)
  const spread = k * msj + (k * n - k - n) * mse
  const lower = (n * (msb - high * mse)) / (high * spread + n * msb)
  const upper = (n * (low * msb - mse)) / (spread + n * low * msb)
  return { lower: finite(lower), upper: finite(upper), level }
}

/**
 * The six intraclass correlations of a table of subjects by raters, one rating each, by mean squares (Shrout and Fleiss 1979, Psychol
 * Bull 86:420–428; intervals ibid. p. 424; ICC(2,k) limits by Spearman–Brown, null where 1 + (k−1)·limit is not above 0). A
 * subject with a missing rating is dropped and counted.
 *
 * @param ratings one row a subject, one column a rater
 * @throws CannotEstimate for fewer than 2 complete subjects or 2 raters, or where all ratings are equal
 */
export function intraclassCorrelations(
  ratings: readonly ArrayLike<Maybe>[],
  { level = 0.95 }: { readonly level?: number } = {},
): IntraclassCorrelations {
  const name = 'intraclassCorrelations'
  checkLevel(name, level)
  const k = ratings[0]?.length ?? 0
  if (ratings.some((row) => row.length !== k))
    throw new CannotEstimate(name, 'rows of one length', 'rows of several')
  const rows = ratings.map((row) => Array.from(row)).filter((row) => row.every(isKnown)) as number[][]
  const n = rows.length
  if (n < 2 || k < 2) throw new CannotEstimate(name, 'two complete subjects and two raters', `${n} and ${k}`)
  const grand = meanOf(rows.flat())
  const bySubject = rows.map((row) => meanOf(row))
  const byRater = Array.from({ length: k }, (_, j) => meanOf(rows.map((row) => row[j]!)))
  const msb = (k * bySubject.reduce((sum, m) => sum + (m - grand) ** 2, 0)) / (n - 1)
  const msj = (n * byRater.reduce((sum, m) => sum + (m - grand) ** 2, 0)) / (k - 1)
  let within = 0
  let residual = 0
  rows.forEach((row, i) => {
    row.forEach((x, j) => {
      within += (x - bySubject[i]!) ** 2
      residual += (x - bySubject[i]! - byRater[j]! + grand) ** 2
    })
  })
  const msw = within / (n * (k - 1))
  const mse = residual / ((n - 1) * (k - 1))
  if (!(msb > 0 || msw > 0)) throw new CannotEstimate(name, 'ratings that differ', 'all ratings equal')
  const f1 = msb / msw
  const f3 = msb / mse
  const tail = (1 + level) / 2
  const limits = (ratio: number, df2: number): readonly [number, number] => [
    ratio / f.quantile(tail, n - 1, df2),
    ratio * f.quantile(tail, df2, n - 1),
  ]
  const [low1, high1] = limits(f1, n * (k - 1))
  const [low3, high3] = limits(f3, (n - 1) * (k - 1))
  const single = (ratio: number): number => (ratio === Infinity ? 1 : (ratio - 1) / (ratio + k - 1))
  const mean = (ratio: number): number => 1 - 1 / ratio
  const icc2 = (msb - mse) / (msb + (k - 1) * mse + (k * (msj - mse)) / n)
  const interval2 =
    mse === 0 && msj === 0
      ? { lower: 1, upper: 1, level }
      : agreementInterval(n, k, msb, msj, mse, icc2, level)
  const both = (
    of: (ratio: number) => number,
    ratio: number,
    low: number,
    high: number,
  ): IntraclassCorrelation => ({
    estimate: of(ratio),
    interval: { lower: of(low), upper: of(high), level },
  })
  return {
    method: 'Shrout-Fleiss intraclass correlations',
    nSubjects: n,
    nRaters: k,
    nDropped: ratings.length - n,
    meanSquareBetween: msb,
    meanSquareWithin: msw,
    meanSquareRaters: msj,
    meanSquareResidual: mse,
    icc11: both(single, f1, low1, high1),
    icc21: { estimate: icc2, interval: interval2 },
    icc31: both(single, f3, low3, high3),
    icc1k: both(mean, f1, low1, high1),
    icc2k: {
      estimate: (msb - mse) / (msb + (msj - mse) / n),
      interval: { lower: spearmanBrown(interval2.lower, k), upper: spearmanBrown(interval2.upper, k), level },
    },
    icc3k: both(mean, f3, low3, high3),
    f1,
    f3,
    p1: fUpperTail(f1, n - 1, n * (k - 1)),
    p3: fUpperTail(f3, n - 1, (n - 1) * (k - 1)),
  }
}
