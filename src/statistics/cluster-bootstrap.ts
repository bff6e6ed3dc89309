import { type BootstrapOptions, checkedDraws, keyParts, orNaN } from './bootstrap-interval.ts'
import { type BootstrapSummary, jackknifeAcceleration, summariseDraws } from './bootstrap-limits.ts'
import { seededStream } from './seeded-stream.ts'
import { CannotEstimate, checkLevel } from './shared.ts'

/** One resample of whole clusters. Its arrays are reused from draw to draw: copy what you keep. */
export interface ClusterDraw {
  /** How often each row counts. On the sample itself every row counts once. */
  readonly rowCounts: Int32Array
  /** The rows drawn, each as often as it counts, cluster by cluster. */
  rows(): Int32Array
  /** For each of rows(), which drawn copy of a cluster it belongs to (0, 1, ...): a cluster drawn twice is two clusters. */
  copies(): Int32Array
}

export interface ClusterBootstrap extends BootstrapSummary {
  readonly method: 'cluster bootstrap'
  readonly nRows: number
  readonly nClusters: number
}

export interface ClusterBootstrapOptions extends BootstrapOptions {
  /** Stratum of each row (such as its group): clusters are drawn within strata. A cluster must lie in one stratum. */
  readonly strata?: ArrayLike<string | number>
}

interface Clusters {
  /** Rows cluster by cluster; cluster c holds rows[start[c]] to rows[start[c + 1] - 1]. */
  readonly rows: Int32Array
  readonly start: Int32Array
  /** Clusters of each stratum. */
  readonly strata: readonly Int32Array[]
}

/**
 * Percentile and BCa bootstrap intervals of any statistic of clustered rows: whole clusters are drawn with replacement, as many
 * as there are, so rows of one cluster may depend on each other in any way.
 *
 * `cluster` names the cluster of each row (rows with missing values are for the caller to leave out). `statistic` takes a
 * {@link ClusterDraw}; reading `rowCounts` is fastest. NaN or a thrown CannotEstimate is a failed draw. The order of the rows does
 * not matter beyond rounding. The jackknife of BCa leaves out one cluster at a time.
 *
 * With few clusters the intervals are too short: percentile intervals of a mean held it in 91 % with 15 clusters, 93.5 % with 60
 * (tests/coverage), for the reason given at bootstrapInterval.
 *
 * Source: Davison and Hinkley (1997) Bootstrap Methods and their Application, section 3.8; Field and Welsh (2007) J R Stat Soc B 69:369-390.
 *
 * @throws CannotEstimate for fewer than 2 clusters, a cluster in two strata, or a statistic that is not a number on the sample itself.
 */
export function clusterBootstrap(
  cluster: ArrayLike<string | number>,
  statistic: (draw: ClusterDraw) => number,
  options: ClusterBootstrapOptions = {},
): ClusterBootstrap {
  const level = options.level ?? 0.95
  checkLevel('clusterBootstrap', level)
  const draws = checkedDraws('clusterBootstrap', options.draws)
  const clusters = groupRows(cluster, options.strata)
  const nClusters = clusters.start.length - 1
  if (nClusters < 2) throw new CannotEstimate('clusterBootstrap', 'two clusters', String(nClusters))
  const counts = new Int32Array(nClusters).fill(1)
  const rowCounts = new Int32Array(cluster.length)
  const draw = drawOf(clusters, counts, rowCounts)
  const evaluate = () => {
    for (let c = 0; c < nClusters; c++) {
      const end = clusters.start[c + 1]!
      for (let i = clusters.start[c]!; i < end; i++) rowCounts[clusters.rows[i]!] = counts[c]!
    }
    return orNaN(() => statistic(draw))
  }
  const estimate = evaluate()
  if (Number.isNaN(estimate))
    throw new CannotEstimate('clusterBootstrap', 'a statistic that is a number on the sample', 'NaN')
  const leaveOneOut = new Float64Array(nClusters)
  for (let c = 0; c < nClusters; c++) {
    counts[c] = 0
    leaveOneOut[c] = evaluate()
    counts[c] = 1
  }
  const stream = seededStream(options.seed ?? 1, ['cluster bootstrap', ...keyParts(options.key)])
  const resampled = new Float64Array(draws)
  for (let b = 0; b < draws; b++) {
    counts.fill(0)
    for (const stratum of clusters.strata)
      for (let i = 0; i < stratum.length; i++) counts[stratum[stream.below(stratum.length)]!]!++
    resampled[b] = evaluate()
  }
  return {
    method: 'cluster bootstrap',
    nRows: cluster.length,
    nClusters,
    ...summariseDraws(estimate, resampled, jackknifeAcceleration(leaveOneOut), level),
  }
}

/** Clusters in order of their names, so that the order of the rows has no say in what is drawn. */
function groupRows(
  cluster: ArrayLike<string | number>,
  strata: ArrayLike<string | number> | undefined,
): Clusters {
  if (strata !== undefined && strata.length !== cluster.length)
    throw new CannotEstimate('clusterBootstrap', 'a stratum a row', `${strata.length} for ${cluster.length}`)
  const byName = new Map<string | number, number[]>()
  for (let i = 0; i < cluster.length; i++) {
    const rows = byName.get(cluster[i]!)
    if (rows === undefined) byName.set(cluster[i]!, [i])
    else rows.push(i)
  }
  const names = [...byName.keys()].sort(compareNames)
  const rows = new Int32Array(cluster.length)
  const start = new Int32Array(names.length + 1)
  const byStratum = new Map<string | number, number[]>()
  names.forEach((name, c) => {
    const own = byName.get(name)!
    rows.set(own, start[c]!)
    start[c + 1] = start[c]! + own.length
    const stratum = strata === undefined ? '' : strata[own[0]!]!
    if (strata !== undefined && own.some((row) => strata[row] !== stratum))
      throw new CannotEstimate('clusterBootstrap', 'clusters within one stratum', `cluster ${name} in two`)
    const members = byStratum.get(stratum)
    if (members === undefined) byStratum.set(stratum, [c])
    else members.push(c)
  })
  const order = [...byStratum.keys()].sort(compareNames)
  return { rows, start, strata: order.map((stratum) => Int32Array.from(byStratum.get(stratum)!)) }
}

function compareNames(a: string | number, b: string | number): number {
  if (typeof a === typeof b) return a < b ? -1 : a > b ? 1 : 0
  return typeof a === 'number' ? -1 : 1
}

function drawOf(clusters: Clusters, counts: Int32Array, rowCounts: Int32Array): ClusterDraw {
  const expand = (write: (row: number, copy: number) => number): Int32Array => {
    const out: number[] = []
    let copy = 0
    counts.forEach((count, c) => {
      for (let k = 0; k < count; k++, copy++)
        for (let i = clusters.start[c]!; i < clusters.start[c + 1]!; i++)
          out.push(write(clusters.rows[i]!, copy))
    })
    return Int32Array.from(out)
  }
  return { rowCounts, rows: () => expand((row) => row), copies: () => expand((_, copy) => copy) }
}
