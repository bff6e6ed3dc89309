import { invert } from './cluster-jackknife.ts'
import type { InterceptSlope, NestedComponents, NestedRows } from './nested-least-squares.ts'
import { type OptimiserRecord, quasiNewton, withNumericalGradient } from './quasi-newton.ts'
import { CannotEstimate } from './shared.ts'

export interface NestedComponentsFit {
  readonly method: 'restricted maximum likelihood'
  readonly components: NestedComponents
  /** -2 log REML with all constants. */
  readonly remlCriterion: number
  /** True where a variance is zero or a correlation is -1 or 1 at the estimate: the data hold no more. */
  readonly singular: boolean
  readonly record: OptimiserRecord
  readonly n: number
  readonly nSeries: number
  readonly nClusters: number
}

/** Sums of one series: Z'Z (1, t by 1, t) and Z'W, W = [X y]. */
interface SeriesSums {
  readonly n: number
  readonly t: number
  readonly tt: number
  /** Z'W: 2 rows of width. */
  readonly zw: Float64Array
}

interface Sums {
  readonly clusters: readonly (readonly SeriesSums[])[]
  readonly ww: Float64Array
  readonly width: number
  readonly n: number
}

/**
 * REML variance components of y = X b + (c0 + s0) + (c1 + s1) time + e, series nested in clusters, each level's intercept and
 * slope freely correlated. Works on each series' sums, so that a step costs the number of series, not of observations.
 *
 * Missing values have no place here: leave such rows out before.
 *
 * Source: Laird and Ware (1982) Biometrics 38:963-974; the Woodbury identity at each level; REML criterion as in lme4
 * (Bates et al. 2015, J Stat Softw 67(1), equation 42).
 *
 * @throws CannotEstimate where there are no more rows than coefficients, or the design is not of full rank.
 */
export function nestedComponents(rows: NestedRows): NestedComponentsFit {
  const name = 'nestedComponents'
  const p = rows.design[0]?.length ?? 0
  if (rows.y.length <= p || p === 0)
    throw new CannotEstimate(name, `more rows than its ${p} coefficients`, String(rows.y.length))
  const sums = sumsOf(rows)
  const scale = timeScale(rows.time)
  const criterion = (x: Float64Array) => remlCriterion(sums, x, scale).criterion
  if (!Number.isFinite(criterion(Float64Array.of(0, 0, 0, 0, 0, 0))))
    throw new CannotEstimate(name, 'a design of full rank and a residual spread', 'none')
  const found = quasiNewton(withNumericalGradient(criterion), [1, 0, 0.3, 1, 0, 0.3])
  const { criterion: value, residual } = remlCriterion(sums, found.x, scale)
  const cluster = covarianceFrom(found.x.subarray(0, 3), residual, scale)
  const series = covarianceFrom(found.x.subarray(3, 6), residual, scale)
  return {
    method: 'restricted maximum likelihood',
    components: { cluster, series, residual },
    remlCriterion: value,
    singular: [0, 3].some((at) => Math.abs(found.x[at]!) < 1e-4 || Math.abs(found.x[at + 2]!) < 1e-4),
    record: found.record,
    n: sums.n,
    nSeries: sums.clusters.reduce((count, c) => count + c.length, 0),
    nClusters: sums.clusters.length,
  }
}

/** Root mean square of time, so that slopes enter the search on the scale of intercepts. */
function timeScale(time: readonly number[]): number {
  const square = time.reduce((sum, t) => sum + t * t, 0) / time.length
  return square > 0 ? 1 / Math.sqrt(square) : 1
}

interface RunningSums {
  n: number
  t: number
  tt: number
  zw: Float64Array
}

function ensured<K, V>(map: Map<K, V>, key: K, make: () => V): V {
  const known = map.get(key)
  if (known !== undefined) return known
  const made = make()
  map.set(key, made)
  return made
}

function sumsOf(rows: NestedRows): Sums {
  const width = rows.design[0]!.length + 1
  const ww = new Float64Array(width * width)
  const clusters = new Map<string, Map<string, RunningSums>>()
  const w = new Float64Array(width)
  for (let i = 0; i < rows.y.length; i++) {
    w.set(rows.design[i]!)
    w[width - 1] = rows.y[i]!
    const own = ensured(clusters, rows.cluster[i]!, () => new Map<string, RunningSums>())
    const series = ensured(own, rows.series[i]!, () => ({
      n: 0,
      t: 0,
      tt: 0,
      zw: new Float64Array(2 * width),
    }))
    const t = rows.time[i]!
    series.n++
    series.t += t
    series.tt += t * t
    for (let a = 0; a < width; a++) {
      series.zw[a]! += w[a]!
      series.zw[width + a]! += t * w[a]!
      for (let b = 0; b < width; b++) ww[a * width + b]! += w[a]! * w[b]!
    }
  }
  return { clusters: [...clusters.values()].map((own) => [...own.values()]), ww, width, n: rows.y.length }
}

/** Covariance from a Cholesky factor relative to the residual deviation, with the slope's row on the scaled time. */
function covarianceFrom(l: Float64Array, residual: number, scale: number): InterceptSlope {
  const [a, b, c] = [l[0]!, l[1]! * scale, l[2]! * scale]
  return { intercept: residual * a * a, covariance: residual * a * b, slope: residual * (b * b + c * c) }
}

/** Adds -factor' m^-1 factor for the 2 x 2 m and a 2 x width factor to a width x width sum; log det m is returned. */
function downdate(
  total: Float64Array,
  width: number,
  m: readonly [number, number, number],
  factor: Float64Array,
): number {
  const determinant = m[0] * m[2] - m[1] * m[1]
  for (let a = 0; a < width; a++) {
    const u = (m[2] * factor[a]! - m[1] * factor[width + a]!) / determinant
    const v = (m[0] * factor[width + a]! - m[1] * factor[a]!) / determinant
    for (let b = a; b < width; b++) total[a * width + b]! -= u * factor[b]! + v * factor[width + b]!
  }
  return Math.log(determinant)
}

/** L' A for the lower factor L = [[a, 0], [b, c]] and a 2 x width A. */
function factored(
  l: readonly [number, number, number],
  matrix: Float64Array,
  width: number,
  into: Float64Array,
): void {
  for (let k = 0; k < width; k++) {
    into[k] = l[0] * matrix[k]! + l[1] * matrix[width + k]!
    into[width + k] = l[2] * matrix[width + k]!
  }
}

/** I + L' A L for a symmetric 2 x 2 A = [[p, q], [q, r]]. */
function inner(
  [a, b, c]: readonly [number, number, number],
  p: number,
  q: number,
  r: number,
): [number, number, number] {
  return [1 + a * (a * p + b * q) + b * (a * q + b * r), c * (a * q + b * r), 1 + c * c * r]
}

/** -2 log REML with the residual variance profiled out, at relative factors x = (cluster's a, b, c, series' a, b, c). */
function remlCriterion(
  sums: Sums,
  x: Float64Array,
  scale: number,
): { readonly criterion: number; readonly residual: number } {
  const { width } = sums
  const cluster = [x[0]!, x[1]! * scale, x[2]! * scale] as const
  const series = [x[3]!, x[4]! * scale, x[5]! * scale] as const
  const total = sums.ww.slice()
  const zw = new Float64Array(2 * width)
  const part = new Float64Array(2 * width)
  let logDeterminant = 0
  for (const own of sums.clusters) {
    zw.fill(0)
    let [p, q, r] = [0, 0, 0]
    for (const s of own) {
      const m = inner(series, s.n, s.t, s.tt)
      factored(series, s.zw, width, part)
      logDeterminant += downdate(total, width, m, part)
      // Z'V^-1 W = Z'W - Z'Z L m^-1 L'Z'W, and the same for Z'V^-1 Z.
      const [a, b, c] = series
      const g = [s.n * a + s.t * b, s.t * c, s.t * a + s.tt * b, s.tt * c] as const
      const determinant = m[0] * m[2] - m[1] * m[1]
      const h = [
        (g[0] * m[2] - g[1] * m[1]) / determinant,
        (g[1] * m[0] - g[0] * m[1]) / determinant,
        (g[2] * m[2] - g[3] * m[1]) / determinant,
        (g[3] * m[0] - g[2] * m[1]) / determinant,
      ] as const
      p += s.n - (h[0] * g[0] + h[1] * g[1])
      q += s.t - (h[0] * g[2] + h[1] * g[3])
      r += s.tt - (h[2] * g[2] + h[3] * g[3])
      for (let k = 0; k < width; k++) {
        zw[k]! += s.zw[k]! - h[0] * part[k]! - h[1] * part[width + k]!
        zw[width + k]! += s.zw[width + k]! - h[2] * part[k]! - h[3] * part[width + k]!
      }
    }
    factored(cluster, zw, width, part)
    logDeterminant += downdate(total, width, inner(cluster, p, q, r), part)
  }
  return profiled(sums, total, logDeterminant)
}

/** -2 log REML and the residual variance from [X y]' V^-1 [X y] (upper triangle) and log det V, V relative to the residual. */
export function profiled(
  { n, width }: { readonly n: number; readonly width: number },
  total: Float64Array,
  logDeterminant: number,
): { readonly criterion: number; readonly residual: number } {
  const p = width - 1
  const at = (a: number, b: number): number => total[Math.min(a, b) * width + Math.max(a, b)]!
  const information = Float64Array.from({ length: p * p }, (_, k) => at(Math.floor(k / p), k % p))
  const inverse = invert(information, p)
  if (inverse === null) return { criterion: Infinity, residual: Number.NaN }
  let squares = at(p, p)
  for (let a = 0; a < p; a++) for (let b = 0; b < p; b++) squares -= at(a, p) * inverse[a * p + b]! * at(b, p)
  if (!(squares > 0)) return { criterion: Infinity, residual: Number.NaN }
  const residual = squares / (n - p)
  const logInformation = logDet(information, p)
  return {
    criterion: (n - p) * (Math.log(2 * Math.PI * residual) + 1) + logDeterminant + logInformation,
    residual,
  }
}

function logDet(matrix: Float64Array, p: number): number {
  const lower = matrix.slice()
  let sum = 0
  for (let i = 0; i < p; i++)
    for (let j = 0; j <= i; j++) {
      let value = lower[i * p + j]!
      for (let k = 0; k < j; k++) value -= lower[i * p + k]! * lower[j * p + k]!
      lower[i * p + j] = i === j ? Math.sqrt(value) : value / lower[j * p + j]!
      if (i === j) sum += Math.log(value)
    }
  return sum
}
