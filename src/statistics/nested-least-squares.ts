import { type ClusterSums, clusterJackknife, invert, multiply } from './cluster-jackknife.ts'
import { clusterSums } from './cluster-sums.ts'
import { CannotEstimate } from './shared.ts'

/** Covariance of a random intercept and a random slope. */
export interface InterceptSlope {
  readonly intercept: number
  readonly slope: number
  readonly covariance: number
}

/** Variance components of random intercepts and slopes of series nested in clusters. */
export interface NestedComponents {
  readonly cluster: InterceptSlope
  readonly series: InterceptSlope
  readonly residual: number
}

export interface NestedRows {
  /** Rows of the fixed-effects design, n of p, the intercept's column included. */
  readonly design: readonly (readonly number[])[]
  readonly y: readonly number[]
  /** The time that the random slopes belong to. */
  readonly time: readonly number[]
  /** Series of each row; a series lies in one cluster. */
  readonly series: readonly string[]
  readonly cluster: readonly string[]
}

export interface NestedOptions {
  /** Columns of the design that the series' intercept and slope are added to; 0 and 1 unless given. */
  readonly interceptColumn?: number
  readonly slopeColumn?: number
  /** Whether each series' own line is wanted; yes unless given. */
  readonly predictions?: boolean
}

/** A series' own line, shrunken towards the cluster's and the whole. Standard errors hold those of the coefficients too. */
export interface SeriesLine {
  readonly series: string
  readonly cluster: string
  readonly n: number
  readonly intercept: number
  readonly interceptError: number
  readonly slope: number
  readonly slopeError: number
}

export interface NestedLeastSquares {
  readonly method: 'generalised least squares with random intercepts and slopes of series nested in clusters'
  readonly coefficients: readonly number[]
  /** Covariance if the model holds, p x p by rows. */
  readonly modelCovariance: Float64Array
  /** Covariance by leaving out one cluster at a time, p x p by rows; null where one cluster alone determines a coefficient. */
  readonly jackknifeCovariance: Float64Array | null
  readonly nClusters: number
  readonly n: number
  readonly lines: readonly SeriesLine[]
}

interface Cluster {
  readonly name: string
  readonly rows: readonly number[]
}

/**
 * Coefficients, covariances and each series' shrunken line at given variance components: what follows from a fitted mixed model
 * with random intercepts and slopes of series nested in clusters.
 *
 * y = X b + (c0 + s0) + (c1 + s1) time + e. A series' line is b0 + c0 + s0 and b1 + c1 + s1 at their best linear unbiased
 * predictions; its error variance is that of the prediction given b plus that of b (Henderson's prediction error).
 *
 * Missing values have no place here: leave such rows out before.
 *
 * Source: Laird and Ware (1982) Biometrics 38:963-974, equations 3.1 to 3.5; Henderson (1975) Biometrics 31:423-447.
 *
 * @throws CannotEstimate where the design is not of full rank.
 */
export function nestedLeastSquares(
  rows: NestedRows,
  components: NestedComponents,
  options: NestedOptions = {},
): NestedLeastSquares {
  const name = 'nestedLeastSquares'
  const p = rows.design[0]?.length ?? 0
  if (p === 0) throw new CannotEstimate(name, 'a row', 'none')
  const clusters = clustersOf(rows.cluster)
  const information = new Float64Array(p * p)
  const right = new Float64Array(p)
  for (const { rows: own } of clusters) {
    const sums = clusterSums(
      own.map((i) => rows.design[i]!),
      own.map((i) => rows.y[i]!),
      covarianceOf(rows, own, components),
    )
    for (let i = 0; i < p * p; i++) information[i]! += sums.information[i]!
    for (let i = 0; i < p; i++) right[i]! += sums.score[i]!
  }
  const inverse = invert(information, p)
  if (inverse === null) throw new CannotEstimate(name, 'a design of full rank', 'one that is not')
  const coefficients = multiply(inverse, right, p)
  const { sums, lines } = secondPass(rows, components, clusters, { coefficients, inverse }, options)
  return {
    method: 'generalised least squares with random intercepts and slopes of series nested in clusters',
    coefficients: Array.from(coefficients),
    modelCovariance: inverse,
    jackknifeCovariance: jackknifeOrNull(sums),
    nClusters: clusters.length,
    n: rows.y.length,
    lines,
  }
}

function jackknifeOrNull(sums: readonly ClusterSums[]): Float64Array | null {
  try {
    return clusterJackknife(sums).covariance
  } catch (error) {
    if (error instanceof CannotEstimate) return null
    throw error
  }
}

function clustersOf(cluster: readonly string[]): Cluster[] {
  const byName = new Map<string, number[]>()
  cluster.forEach((name, i) => {
    const own = byName.get(name)
    if (own) own.push(i)
    else byName.set(name, [i])
  })
  return [...byName].map(([name, rows]) => ({ name, rows }))
}

/** Covariance of two rows through an intercept and a slope. */
const through = (g: InterceptSlope, a: number, b: number): number =>
  g.intercept + g.covariance * (a + b) + g.slope * a * b

function covarianceOf(rows: NestedRows, own: readonly number[], components: NestedComponents): Float64Array {
  const n = own.length
  const covariance = new Float64Array(n * n)
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) {
      const a = own[i]!
      const b = own[j]!
      let value = through(components.cluster, rows.time[a]!, rows.time[b]!)
      if (rows.series[a] === rows.series[b]) value += through(components.series, rows.time[a]!, rows.time[b]!)
      if (i === j) value += components.residual
      covariance[i * n + j] = value
    }
  return covariance
}

function secondPass(
  rows: NestedRows,
  components: NestedComponents,
  clusters: readonly Cluster[],
  fit: { readonly coefficients: Float64Array; readonly inverse: Float64Array },
  options: NestedOptions,
): { readonly sums: ClusterSums[]; readonly lines: SeriesLine[] } {
  const p = fit.coefficients.length
  const sums: ClusterSums[] = []
  const lines: SeriesLine[] = []
  for (const cluster of clusters) {
    const own = cluster.rows
    const residual = own.map((i) =>
      rows.design[i]!.reduce((left, x, j) => left - x * fit.coefficients[j]!, rows.y[i]!),
    )
    const names = options.predictions === false ? [] : [...new Set(own.map((i) => rows.series[i]!))]
    const design = own.map((i) => [
      ...rows.design[i]!,
      ...names.flatMap((s) => withRow(components, rows.time[i]!, rows.series[i] === s)),
    ])
    const wide = clusterSums(design, residual, covarianceOf(rows, own, components))
    sums.push(leading(wide, p))
    names.forEach((series, k) => {
      const n = own.filter((i) => rows.series[i] === series).length
      lines.push({ series, cluster: cluster.name, n, ...lineOf(wide, p + 2 * k, components, fit, options) })
    })
  }
  return { sums, lines }
}

/** Covariance of a series' intercept and slope (cluster's plus its own) with a row at `time`. */
function withRow({ cluster, series }: NestedComponents, time: number, same: boolean): [number, number] {
  const own = same ? 1 : 0
  return [
    cluster.intercept + cluster.covariance * time + own * (series.intercept + series.covariance * time),
    cluster.covariance + cluster.slope * time + own * (series.covariance + series.slope * time),
  ]
}

function leading({ information, score }: ClusterSums, p: number): ClusterSums {
  const width = score.length
  return {
    information: Float64Array.from(
      { length: p * p },
      (_, k) => information[Math.floor(k / p) * width + (k % p)]!,
    ),
    score: score.slice(0, p),
  }
}

function lineOf(
  { information, score }: ClusterSums,
  at: number,
  { cluster, series }: NestedComponents,
  fit: { readonly coefficients: Float64Array; readonly inverse: Float64Array },
  options: NestedOptions,
): Omit<SeriesLine, 'series' | 'cluster' | 'n'> {
  const p = fit.coefficients.length
  const width = score.length
  const one = (column: number, place: number, prior: number): readonly [number, number] => {
    const lever = Float64Array.from(
      { length: p },
      (_, j) => (j === column ? 1 : 0) - information[j * width + place]!,
    )
    const moved = multiply(fit.inverse, lever, p)
    const fixed = lever.reduce((sum, x, j) => sum + x * moved[j]!, 0)
    const variance = prior - information[place * width + place]! + fixed
    return [fit.coefficients[column]! + score[place]!, Math.sqrt(Math.max(0, variance))]
  }
  const [intercept, interceptError] = one(
    options.interceptColumn ?? 0,
    at,
    cluster.intercept + series.intercept,
  )
  const [slope, slopeError] = one(options.slopeColumn ?? 1, at + 1, cluster.slope + series.slope)
  return { intercept, interceptError, slope, slopeError }
}
