import gammaln from '@stdlib/math-base-special-gammaln'
import normal from '@stdlib/stats-base-dists-normal'
import { wilsonInterval } from './proportion.ts'
import { CannotEstimate, checkLevel, type Interval } from './shared.ts'

/** Events of a group. */
export interface EventCount {
  readonly events: number
  readonly n: number
}

export interface NewcombeDifference {
  readonly method: 'difference of proportions, Newcombe hybrid score'
  readonly estimate: number
  readonly interval: Interval
}

/**
 * Difference of two independent proportions with Newcombe's hybrid score interval (1998, Stat Med 17:873–890, method 10): two Wilson
 * intervals put together, without continuity correction.
 *
 * @throws CannotEstimate unless both counts are whole numbers with 0 ≤ events ≤ n and n ≥ 1
 */
export function newcombeDifference(
  first: EventCount,
  second: EventCount,
  { level = 0.95 }: { readonly level?: number } = {},
): NewcombeDifference {
  const a = wilsonInterval(first.events, first.n, { level })
  const b = wilsonInterval(second.events, second.n, { level })
  const estimate = a.estimate - b.estimate
  return {
    method: 'difference of proportions, Newcombe hybrid score',
    estimate,
    interval: {
      lower: estimate - Math.hypot(a.estimate - a.interval.lower!, b.interval.upper! - b.estimate),
      upper: estimate + Math.hypot(a.interval.upper! - a.estimate, b.estimate - b.interval.lower!),
      level,
    },
  }
}

export interface TwoByTwo {
  readonly method: 'two independent proportions'
  /** 0.5 is added to all four cells where one of them is 0. */
  readonly logOddsRatio: number
  readonly logOddsRatioVariance: number
  readonly oddsRatio: number
  readonly oddsRatioInterval: Interval
  /** 0.5 is added to events and 1 to each n where a group has no event. */
  readonly logRiskRatio: number
  readonly logRiskRatioVariance: number
  readonly riskRatio: number
  readonly riskDifference: number
  readonly riskDifferenceVariance: number
  readonly riskDifferenceWaldInterval: Interval
  readonly riskDifferenceInterval: Interval
  /** Fisher's exact test: sum over tables no more likely than the observed one. */
  readonly fisherP: number
}

const logChoose = (n: number, k: number): number => gammaln(n + 1) - gammaln(k + 1) - gammaln(n - k + 1)

function fisherP(a: number, b: number, c: number, d: number): number {
  const first = a + b
  const events = a + c
  const n = first + c + d
  const logMass = (x: number): number =>
    logChoose(first, x) + logChoose(n - first, events - x) - logChoose(n, events)
  const observed = logMass(a) + Math.log1p(1e-7)
  let p = 0
  for (let x = Math.max(0, events - (n - first)); x <= Math.min(first, events); x++) {
    const mass = logMass(x)
    if (mass <= observed) p += Math.exp(mass)
  }
  return Math.min(1, p)
}

/**
 * Odds ratio, risk ratio and risk difference of two independent groups (Borenstein et al. 2009, chapter 5; Woolf's and the
 * unpooled Wald variances), Newcombe's interval of the difference and Fisher's exact test.
 *
 * @throws CannotEstimate unless both counts are whole numbers with 0 ≤ events ≤ n and n ≥ 1
 */
export function twoByTwo(
  first: EventCount,
  second: EventCount,
  { level = 0.95 }: { readonly level?: number } = {},
): TwoByTwo {
  checkLevel('twoByTwo', level)
  const difference = newcombeDifference(first, second, { level })
  const cells = [first.events, first.n - first.events, second.events, second.n - second.events] as const
  if (cells.some((x) => x < 0))
    throw new CannotEstimate('twoByTwo', 'no more events than people', cells.join(', '))
  const add = cells.some((x) => x === 0) ? 0.5 : 0
  const [a, b, c, d] = cells.map((x) => x + add) as [number, number, number, number]
  const z = normal.quantile((1 + level) / 2, 0, 1)
  const logOddsRatio = Math.log((a * d) / (b * c))
  const logOddsRatioVariance = 1 / a + 1 / b + 1 / c + 1 / d
  const noEvent = first.events === 0 || second.events === 0
  const [e1, e2, n1, n2] = noEvent
    ? [first.events + 0.5, second.events + 0.5, first.n + 1, second.n + 1]
    : [first.events, second.events, first.n, second.n]
  const logRiskRatio = Math.log(e1! / n1! / (e2! / n2!))
  const p1 = first.events / first.n
  const p2 = second.events / second.n
  const variance = (p1 * (1 - p1)) / first.n + (p2 * (1 - p2)) / second.n
  const reach = z * Math.sqrt(variance)
  return {
    method: 'two independent proportions',
    logOddsRatio,
    logOddsRatioVariance,
    oddsRatio: Math.exp(logOddsRatio),
    oddsRatioInterval: {
      lower: Math.exp(logOddsRatio - z * Math.sqrt(logOddsRatioVariance)),
      upper: Math.exp(logOddsRatio + z * Math.sqrt(logOddsRatioVariance)),
      level,
    },
    logRiskRatio,
    logRiskRatioVariance: 1 / e1! - 1 / n1! + 1 / e2! - 1 / n2!,
    riskRatio: Math.exp(logRiskRatio),
    riskDifference: p1 - p2,
    riskDifferenceVariance: variance,
    riskDifferenceWaldInterval: { lower: p1 - p2 - reach, upper: p1 - p2 + reach, level },
    riskDifferenceInterval: difference.interval,
    fisherP: fisherP(...cells),
  }
}
