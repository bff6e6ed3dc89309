import normal from '@stdlib/stats-base-dists-normal'
import { CannotEstimate, checkLevel, type Interval, type Maybe } from './shared.ts'
import { survivalSubjects } from './survival-subjects.ts'

/** Pointwise limits of a survival curve, one per event time; null where they are undefined (where S is 0). */
export interface SurvivalBand {
  readonly lower: readonly (number | null)[]
  readonly upper: readonly (number | null)[]
  /** Brookmeyer-Crowley interval of the median: the median's rule read off the two limit curves. */
  readonly median: Interval
}

export interface KaplanMeier {
  readonly method: 'Kaplan-Meier'
  readonly n: number
  readonly nDropped: number
  readonly events: number
  readonly level: number
  /** Distinct event times, ascending; the arrays below run along them. */
  readonly time: readonly number[]
  readonly atRisk: readonly number[]
  readonly eventsAt: readonly number[]
  readonly survival: readonly number[]
  /** Greenwood's standard error of the survival; null where the survival is 0. */
  readonly standardError: readonly (number | null)[]
  readonly plain: SurvivalBand
  readonly log: SurvivalBand
  readonly logLog: SurvivalBand
  /** Smallest time with S <= 1/2 (midpoint where S is exactly 1/2 over a stretch); null if never reached. */
  readonly median: number | null
  readonly restrictedMean: {
    readonly estimate: number
    readonly standardError: number | null
    readonly interval: Interval
    readonly restrictedTo: number
  }
  /** Times at which someone was censored, ascending, for the ticks on a curve. */
  readonly censoredAt: readonly number[]
  readonly lastFollowUp: number
}

export interface KaplanMeierOptions {
  /** Confidence level, 0.95 unless given. */
  readonly level?: number
  /** End of the restricted mean; the last time of follow-up unless given. */
  readonly restrictedTo?: number
}

interface Curve {
  readonly time: number[]
  readonly atRisk: number[]
  readonly eventsAt: number[]
  readonly survival: number[]
  /** Greenwood's sum of d / (n (n - d)). */
  readonly greenwood: number[]
}

function productLimit(order: readonly { readonly time: number; readonly event: boolean }[]): Curve {
  const curve: Curve = { time: [], atRisk: [], eventsAt: [], survival: [], greenwood: [] }
  let survival = 1
  let greenwood = 0
  for (let i = 0; i < order.length; ) {
    const time = order[i]!.time
    const atRisk = order.length - i
    let deaths = 0
    for (; i < order.length && order[i]!.time === time; i++) if (order[i]!.event) deaths++
    if (deaths === 0) continue
    survival *= 1 - deaths / atRisk
    greenwood += deaths / (atRisk * (atRisk - deaths))
    curve.time.push(time)
    curve.atRisk.push(atRisk)
    curve.eventsAt.push(deaths)
    curve.survival.push(survival)
    curve.greenwood.push(greenwood)
  }
  return curve
}

const HALF_TOLERANCE = Math.sqrt(Number.EPSILON)

/**
 * Time at which a falling step curve reaches 1/2; at exactly 1/2 the midpoint of that stretch. A limit curve may rise
 * again after it fell below 1/2; then the place of the largest value not above 1/2 counts (R's convention, the wider interval).
 */
function timeAtHalf(
  times: readonly number[],
  values: readonly (number | null)[],
  end: number,
): number | null {
  let first = -1
  for (let i = 0; i < times.length; i++) {
    const value = values[i] ?? Infinity
    if (value <= 0.5 + HALF_TOLERANCE && (first < 0 || value > values[first]!)) first = i
  }
  if (first < 0) return null
  if (values[first]! < 0.5 - HALF_TOLERANCE) return times[first]!
  const next = values.findIndex((v, i) => i > first && v !== null && v < 0.5 - HALF_TOLERANCE)
  return (times[first]! + (next < 0 ? end : times[next]!)) / 2
}

type Limits = (survival: number, standardError: number) => readonly [number, number]

function band(curve: Curve, limits: Limits, end: number, level: number): SurvivalBand {
  const lower: (number | null)[] = []
  const upper: (number | null)[] = []
  curve.survival.forEach((survival, i) => {
    const pair = survival > 0 ? limits(survival, Math.sqrt(curve.greenwood[i]!)) : null
    lower.push(pair === null ? null : Math.max(0, pair[0]))
    upper.push(pair === null ? null : Math.min(1, pair[1]))
  })
  const median = {
    lower: timeAtHalf(curve.time, lower, end),
    upper: timeAtHalf(curve.time, upper, end),
    level,
  }
  return { lower, upper, median }
}

function restrictedMean(curve: Curve, to: number, level: number, z: number): KaplanMeier['restrictedMean'] {
  const widths: number[] = []
  const grid = [0, ...curve.time.filter((time) => time < to), to]
  let area = 0
  for (let i = 0; i + 1 < grid.length; i++) {
    const piece = (grid[i + 1]! - grid[i]!) * (i === 0 ? 1 : curve.survival[i - 1]!)
    widths.push(piece)
    area += piece
  }
  let variance = 0
  let after = area
  for (let i = 0; i + 1 < widths.length; i++) {
    after -= widths[i]!
    const n = curve.atRisk[i]!
    const d = curve.eventsAt[i]!
    if (n > d) variance += (after * after * d) / (n * (n - d))
  }
  const standardError = Math.sqrt(Math.max(0, variance))
  const interval = { lower: area - z * standardError, upper: area + z * standardError, level }
  return { estimate: area, standardError, interval, restrictedTo: to }
}

/**
 * Kaplan-Meier estimate of a survival curve from right-censored times, with plain, log and log-log intervals,
 * the median and the restricted mean.
 *
 * `time` is the follow-up of each subject (any unit, not negative), `event` whether it ended with the event
 * (true or 1) or was censored (false or 0). At equal times events come before censorings. A subject with either value
 * missing is dropped and counted.
 *
 * Intervals (S the survival, s Greenwood's standard error of log S, z the normal quantile): plain S -/+ z s S;
 * log S exp(-/+ z s); log-log S^exp(-/+ z s / log S), cut to [0, 1]; null where S is 0. The plain one falls well short of its
 * level in small samples, most of all in the tail; log-log holds best (Borgan and Liestol 1990 Scand J Stat 17:35-41).
 *
 * Source: Kaplan and Meier (1958) JASA 53:457-481; Klein and Moeschberger (2003) Survival Analysis, sections 4.2 to 4.5;
 * Brookmeyer and Crowley (1982) Biometrics 38:29-41. Conventions are those of the R package survival.
 *
 * @throws CannotEstimate where no subject is left, a time is negative or infinite, or the lengths differ.
 */
export function kaplanMeier(
  time: ArrayLike<Maybe>,
  event: ArrayLike<Maybe | boolean>,
  options: KaplanMeierOptions = {},
): KaplanMeier {
  const level = options.level ?? 0.95
  checkLevel('kaplanMeier', level)
  const { subjects, dropped } = survivalSubjects('kaplanMeier', time, event)
  if (subjects.length === 0) throw new CannotEstimate('kaplanMeier', 'a subject', 'none')
  const z = normal.quantile((1 + level) / 2, 0, 1)
  const end = subjects[subjects.length - 1]!.time
  const to = options.restrictedTo ?? end
  if (!(to >= 0 && Number.isFinite(to)))
    throw new CannotEstimate('kaplanMeier', 'a restriction time of 0 or more', String(to))
  const curve = productLimit(subjects)
  const logLog: Limits = (s, e) => [
    s ** Math.exp(-(z * e) / Math.log(s)),
    s ** Math.exp((z * e) / Math.log(s)),
  ]
  return {
    method: 'Kaplan-Meier',
    n: subjects.length,
    nDropped: dropped,
    events: curve.eventsAt.reduce((a, b) => a + b, 0),
    level,
    time: curve.time,
    atRisk: curve.atRisk,
    eventsAt: curve.eventsAt,
    survival: curve.survival,
    standardError: curve.survival.map((s, i) => (s > 0 ? s * Math.sqrt(curve.greenwood[i]!) : null)),
    plain: band(curve, (s, e) => [s - z * e * s, s + z * e * s], end, level),
    log: band(curve, (s, e) => [s * Math.exp(-z * e), s * Math.exp(z * e)], end, level),
    logLog: band(curve, logLog, end, level),
    median: timeAtHalf(curve.time, curve.survival, end),
    restrictedMean: restrictedMean(curve, to, level, z),
    censoredAt: [...new Set(subjects.filter((s) => !s.event).map((s) => s.time))],
    lastFollowUp: end,
  }
}

/** Survival of a Kaplan-Meier curve at a time (right-continuous); null past the last follow-up unless it is 0 there. */
export function survivalAtTime(curve: KaplanMeier, at: number): number | null {
  let survival = 1
  for (let i = 0; i < curve.time.length && curve.time[i]! <= at; i++) survival = curve.survival[i]!
  return at > curve.lastFollowUp && survival > 0 ? null : survival
}
