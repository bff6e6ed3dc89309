import { checkedDraws, keyParts } from './bootstrap-interval.ts'
import { orderStatisticQuantile } from './bootstrap-limits.ts'
import { censoringIntervals, innermostOf, placeIntervals } from './innermost-intervals.ts'
import { seededStream } from './seeded-stream.ts'
import { CannotEstimate, checkLevel, type Interval, type Maybe } from './shared.ts'
import { fitTurnbull, type Turnbull, turnbullQuantile, turnbullSurvival } from './turnbull.ts'

export interface TurnbullBootstrap {
  readonly method: 'Turnbull estimate, percentile bootstrap'
  readonly estimate: Turnbull
  readonly n: number
  readonly nDropped: number
  readonly nClusters: number
  readonly draws: number
  readonly median: {
    /** Region of the median on the data themselves. */
    readonly left: number
    readonly right: number
    /** Percentile interval of the middles of the resampled median regions, never narrower than the region itself; upper may be infinite. */
    readonly interval: Interval
    /** Share of resamples whose median lies past the last right end (not reached). */
    readonly notReached: number
  }
  /** Survival at the times asked for, with intervals from the lowest and highest survival of the resamples. */
  readonly survival: readonly {
    readonly at: number
    readonly lowest: number
    readonly highest: number
    readonly interval: Interval
  }[]
}

export interface TurnbullBootstrapOptions {
  /** Confidence level, 0.95 unless given. */
  readonly level?: number
  /** Resamples, 999 unless given. */
  readonly draws?: number
  readonly seed?: number | string
  readonly key?: string | readonly (string | number)[]
  /** Cluster of each row (such as the client of each series); rows of one cluster are drawn together. Each row alone unless given. */
  readonly cluster?: ArrayLike<string | number>
  /** Times at which the survival is wanted; none unless given. */
  readonly at?: readonly number[]
}

/**
 * Percentile bootstrap intervals of the median and the survival of a Turnbull estimate, by row or by cluster.
 *
 * Observations as in turnbull. Since the data leave the median undetermined within its region, the interval of the median always holds the
 * whole region; that of a survival runs from the lowest the resamples allow to the highest.
 *
 * The ordinary bootstrap is not consistent where times are only interval-censored (the estimate converges at a cube-root rate, Groeneboom
 * and Wellner 1992); with visits on a common grid of days it is. Measured (tests/coverage): 95 % intervals of the median held it in 95.0
 * and 94.4 % with 60 subjects and visits 30 and 84 days apart, in 97.1 % with 150 and 30 days, in 99 % with all visits on one grid.
 *
 * Source: Efron and Tibshirani (1993) chapter 13; Sen and Xu (2015) Scand J Stat 42:1-19 on its limits.
 *
 * @throws CannotEstimate for fewer than 2 clusters.
 */
export function turnbullBootstrap(
  left: ArrayLike<Maybe>,
  right: ArrayLike<Maybe>,
  options: TurnbullBootstrapOptions = {},
): TurnbullBootstrap {
  const level = options.level ?? 0.95
  checkLevel('turnbullBootstrap', level)
  const draws = checkedDraws('turnbullBootstrap', options.draws ?? 999)
  const data = censoringIntervals('turnbullBootstrap', left, right)
  const clusters = clustersOf(data.row, options.cluster, left.length, data)
  if (clusters.length < 2)
    throw new CannotEstimate('turnbullBootstrap', 'two clusters', String(clusters.length))
  const placed = placeIntervals(data.left, data.right)
  /** The estimate where each observation counts so many times. */
  const estimateOf = (times: Float64Array) => {
    const rows = Int32Array.from(times.keys()).filter((i) => times[i]! > 0)
    const weights = Float64Array.from(rows, (i) => times[i]!)
    return fitTurnbull(innermostOf(placed, rows), weights, data.dropped)
  }
  const estimate = estimateOf(new Float64Array(data.left.length).fill(1))
  const stream = seededStream(options.seed ?? 1, ['Turnbull bootstrap', ...keyParts(options.key)])
  const at = options.at ?? []
  const times = new Float64Array(data.left.length)
  const medians = new Float64Array(draws)
  const lowest = at.map(() => new Float64Array(draws))
  const highest = at.map(() => new Float64Array(draws))
  for (let b = 0; b < draws; b++) {
    times.fill(0)
    for (let k = 0; k < clusters.length; k++)
      for (const i of clusters[stream.below(clusters.length)]!) times[i]!++
    const resampled = estimateOf(times)
    medians[b] = (resampled.median.left + resampled.median.right) / 2
    at.forEach((time, k) => {
      const survival = turnbullSurvival(resampled, time)
      lowest[k]![b] = survival.lowest
      highest[k]![b] = survival.highest
    })
  }
  const between = (low: Float64Array, high: Float64Array): Interval => ({
    lower: orderStatisticQuantile(low.slice().sort(), (1 - level) / 2),
    upper: orderStatisticQuantile(high.slice().sort(), (1 + level) / 2),
    level,
  })
  const spread = between(medians, medians)
  return {
    method: 'Turnbull estimate, percentile bootstrap',
    estimate,
    n: data.left.length,
    nDropped: data.dropped,
    nClusters: clusters.length,
    draws,
    median: {
      ...turnbullQuantile(estimate, 0.5),
      interval: {
        lower: Math.min(estimate.median.left, spread.lower!),
        upper: Math.max(estimate.median.right, spread.upper!),
        level,
      },
      notReached: medians.filter((value) => value === Infinity).length / draws,
    },
    survival: at.map((time, k) => {
      const here = turnbullSurvival(estimate, time)
      return {
        at: time,
        lowest: here.lowest,
        highest: here.highest,
        interval: between(lowest[k]!, highest[k]!),
      }
    }),
  }
}

/** Observations of each cluster, clusters in order of name; without clusters, rows in order of their ends, so that row order has no say. */
function clustersOf(
  rows: Int32Array,
  cluster: ArrayLike<string | number> | undefined,
  length: number,
  data: { readonly left: Float64Array; readonly right: Float64Array },
): number[][] {
  if (cluster === undefined)
    return Array.from(rows.keys())
      .sort((a, b) => data.left[a]! - data.left[b]! || compareNumbers(data.right[a]!, data.right[b]!))
      .map((i) => [i])
  if (cluster.length !== length)
    throw new CannotEstimate('turnbullBootstrap', 'a cluster a row', `${cluster.length} for ${length}`)
  const byName = new Map<string, number[]>()
  rows.forEach((row, i) => {
    const name = `${typeof cluster[row]} ${cluster[row]}`
    const known = byName.get(name)
    if (known === undefined) byName.set(name, [i])
    else known.push(i)
  })
  return [...byName.keys()].sort().map((name) => byName.get(name)!)
}

/** As a - b, but right where both are infinite. */
const compareNumbers = (a: number, b: number) => (a === b ? 0 : a < b ? -1 : 1)
