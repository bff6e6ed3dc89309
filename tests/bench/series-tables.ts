import type { Series } from '../../src/measures/index.ts'
import { DAYS_PER_MONTH, REFLEXES } from '../../src/records/index.ts'
import {
  type KaplanMeier,
  kaplanMeier,
  type LinearMixedModel,
  linearMixedModelFromSums,
  wilcoxonSignedRank,
} from '../../src/statistics/index.ts'
import { meanOf, standardDeviationOf } from '../../src/statistics/moments.ts'
import { type Cell, iso } from './csv.ts'

/** A series with the day from which the job counts: its own start, else the client's first. */
export interface Started {
  readonly series: Series
  readonly start: number
}

export const startedOf = (all: readonly Series[]): Started[] =>
  all.flatMap((series) => {
    const start = series.start ?? series.clientStart
    return start === null ? [] : [{ series, start }]
  })

/** Sums of months and scores of each series: what both the lines and the mixed model are made of. */
export function sumsOf(all: readonly Started[]) {
  const sum = (): Float64Array => new Float64Array(all.length)
  const sums = { n: sum(), t: sum(), tt: sum(), y: sum(), ty: sum(), yy: sum() }
  all.forEach(({ series, start }, s) => {
    for (const { day, score } of series.scores) {
      const months = (day - start) / DAYS_PER_MONTH
      sums.n[s]!++
      sums.t[s]! += months
      sums.tt[s]! += months * months
      sums.y[s]! += score
      sums.ty[s]! += months * score
      sums.yy[s]! += score * score
    }
  })
  return sums
}

export type Sums = ReturnType<typeof sumsOf>

export const TRAJECTORY_COLUMNS =
  'client_id reflex side start scores days first_on last_on last_score slope_per_month'

/** Least squares of all scores, two raters being two scores. */
function slopeOf({ series, start }: Started): number | null {
  const { scores } = series
  let meanDay = 0
  let meanScore = 0
  for (const { day, score } of scores) {
    meanDay += (day - start) / scores.length
    meanScore += score / scores.length
  }
  let xx = 0
  let xy = 0
  for (const { day, score } of scores) {
    const x = day - start - meanDay
    xx += x * x
    xy += x * (score - meanScore)
  }
  return series.occasions.length > 1 ? (xy / xx) * DAYS_PER_MONTH : null
}

export const trajectoryRow = (started: Started): Cell[] => {
  const { series, start } = started
  const last = series.occasions.at(-1)!
  return [
    series.client_id,
    series.reflex,
    series.side,
    iso(start),
    series.scores.length,
    series.occasions.length,
    iso(series.occasions[0]!.day),
    iso(last.day),
    last.score,
    slopeOf(started),
  ]
}

export const fitOf = (sums: Sums): LinearMixedModel => linearMixedModelFromSums(sums, { interval: 'wald' })

export function mixedRows(fit: LinearMixedModel): Cell[][] {
  const [intercept, slope] = fit.fixed
  const level = fit.random[0]!
  return [
    ['observations', fit.nObservations],
    ['series', fit.nGroups],
    ['intercept', intercept!.estimate],
    ['intercept_se', intercept!.se],
    ['slope', slope!.estimate],
    ['slope_se', slope!.se],
    ['var_intercept', level.covariance[0]![0]!],
    ['var_slope', level.covariance[1]![1]!],
    ['cov_intercept_slope', level.covariance[0]![1]!],
    ['var_residual', fit.residualSd ** 2],
    ['reml_criterion', -2 * fit.logLikelihood],
  ]
}

const byReflex = (all: readonly Started[]): [string, Started[]][] =>
  REFLEXES.map((reflex): [string, Started[]] => [
    reflex,
    all.filter(({ series }) => series.reflex === reflex),
  ]).filter(([, own]) => own.length > 0)

/** The last day score up to the start. */
const preOf = ({ series, start }: Started): number | null =>
  series.occasions.findLast((o) => o.day <= start)?.score ?? null

export const PREPOST_COLUMNS =
  'reflex n mean_pre mean_post mean_diff sd_diff d_z hedges_g g_low g_high wilcoxon_n wilcoxon_v wilcoxon_p'

export function* prepostRows(all: readonly Started[]): Generator<Cell[]> {
  for (const [reflex, own] of byReflex(all)) {
    const pairs = own.flatMap((one) => {
      const pre = preOf(one)
      const last = one.series.occasions.at(-1)!
      return pre === null || last.day <= one.start ? [] : [{ pre, post: last.score }]
    })
    const n = pairs.length
    if (n < 2) continue
    const pre = pairs.map((p) => p.pre)
    const post = pairs.map((p) => p.post)
    const difference = pairs.map((p) => p.post - p.pre)
    const sd = standardDeviationOf(difference)
    const dz = meanOf(difference) / sd
    const correction = 1 - 3 / (4 * (n - 1) - 1)
    const half = 1.959963984540054 * correction * Math.sqrt(1 / n + dz ** 2 / (2 * n))
    const g = correction * dz
    const test = wilcoxonSignedRank(pre, post, { exactUpTo: 0 })
    yield [
      ...[reflex, n, meanOf(pre), meanOf(post), meanOf(difference), sd, dz, g, g - half, g + half],
      ...[test.nRanked, test.wPlus, test.pNormalContinuity],
    ]
  }
}

/** Time to absent: zero on two days running, the first after the start; null where the series is not at risk. */
function riskOf(one: Started): { readonly time: number; readonly event: boolean } | null {
  const { series, start } = one
  const { occasions } = series
  const last = occasions.at(-1)!.day - start
  if (last <= 0 || preOf(one) === 0) return null
  const at = occasions.findIndex((o, i) => o.day > start && o.score === 0 && occasions[i + 1]?.score === 0)
  return at < 0 ? { time: last, event: false } : { time: occasions[at]!.day - start, event: true }
}

export interface Curve {
  readonly reflex: string
  readonly curve: KaplanMeier
}

export const curvesOf = (all: readonly Started[]): Curve[] =>
  byReflex(all).flatMap(([reflex, own]) => {
    const risk = own.map(riskOf).filter((r) => r !== null)
    if (risk.length === 0) return []
    const curve = kaplanMeier(
      risk.map((r) => r.time),
      risk.map((r) => r.event),
    )
    return [{ reflex, curve }]
  })

export const SURVIVAL_COLUMNS = 'reflex time at_risk events survival se low high'

export const survivalRows = ({ reflex, curve }: Curve): Cell[][] =>
  curve.time.map((time, i) => {
    const survival = curve.survival[i]!
    const start = [reflex, time, curve.atRisk[i]!, curve.eventsAt[i]!]
    return survival > 0
      ? [...start, survival, curve.standardError[i]!, curve.logLog.lower[i]!, curve.logLog.upper[i]!]
      : [...start, 0, null, null, null]
  })

export const ABSENT_COLUMNS = 'reflex series events median_days still_180 still_365'

export const absentRow = ({ reflex, curve }: Curve): Cell[] => {
  const half = curve.survival.findIndex((s) => s <= 0.5 + 1e-9)
  const still = (day: number): number | null => {
    if (day > curve.lastFollowUp) return null
    return curve.survival[curve.time.findLastIndex((time) => time <= day)] ?? 1
  }
  return [reflex, curve.n, curve.events, half < 0 ? null : curve.time[half]!, still(180), still(365)]
}
