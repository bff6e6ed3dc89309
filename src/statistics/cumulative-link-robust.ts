import { invert, multiply } from './cluster-jackknife.ts'
import {
  type CumulativeLinkPoint,
  type CumulativeLinkRows,
  cumulativeLinkScores,
} from './cumulative-link-scores.ts'
import { choleskyFactor } from './linear-solve.ts'
import { type OptimiserRecord, quasiNewton, type SmoothFunction } from './quasi-newton.ts'
import { CannotEstimate } from './shared.ts'

export interface CumulativeLinkRobust {
  readonly method: 'cumulative-link mixed model (logit), random intercept, cluster-robust covariance'
  readonly thresholds: readonly number[]
  readonly coefficients: readonly number[]
  readonly standardDeviation: number
  readonly logLikelihood: number
  /** Covariance of the coefficients if the model holds, p x p by rows. */
  readonly modelCovariance: Float64Array
  /** Sandwich covariance summed by cluster, times m / (m - 1), p x p by rows. */
  readonly robustCovariance: Float64Array
  readonly record: OptimiserRecord
  readonly n: number
  readonly nGroups: number
  readonly nClusters: number
}

/**
 * Cumulative-link mixed model with one random intercept, by maximum likelihood with adaptive quadrature, and a covariance of its
 * coefficients that holds whatever ties the rows of a cluster together: A^-1 B A^-1, A the observed information, B the sum over clusters of
 * squared scores, times m / (m - 1).
 *
 * Why beside the model's own: with series whose slopes differ, one random intercept leaves intervals of a slope far too short.
 *
 * Source: Christensen (2019) the R package ordinal (model); Liang and Zeger (1986) Biometrika 73:13-22 (covariance).
 *
 * @throws CannotEstimate for fewer than 2 categories in use, fewer than 2 clusters, or coefficients that the rows do not determine.
 */
export function cumulativeLinkRobust(rows: CumulativeLinkRows, categories: number): CumulativeLinkRobust {
  const name = 'cumulativeLinkRobust'
  const n = rows.category.length
  if (rows.nClusters < 2) throw new CannotEstimate(name, 'two clusters', String(rows.nClusters))
  const counts = new Array<number>(categories).fill(0)
  for (let i = 0; i < n; i++) counts[rows.category[i]!]!++
  if (categories < 2 || counts.some((count) => count === 0))
    throw new CannotEstimate(name, 'two categories or more, each in use', counts.join(', '))
  const p = rows.design.length / n
  const white = whitenedDesign(rows, p)
  const found = quasiNewton(objective(white.rows, categories, p), startOf(counts, p), { tolerance: 1e-6 })
  const point = pointOf(found.x, categories, p)
  const { bread, meat } = breadAndMeat(white.rows, point)
  const q = categories - 1 + p + 1
  const modelWhole = invert(bread, q)
  if (modelWhole === null)
    throw new CannotEstimate(name, 'coefficients that the rows determine', 'a singular information')
  const robustWhole = sandwich(modelWhole, meat, q, rows.nClusters)
  const coefficients = multiply(white.back, point.coefficients, p)
  const block = (whole: Float64Array) => covarianceBack(whole, q, categories - 1, white.back, p)
  return {
    method: 'cumulative-link mixed model (logit), random intercept, cluster-robust covariance',
    thresholds: point.thresholds.map(
      (t) => t + coefficients.reduce((sum, c, j) => sum + c * white.centre[j]!, 0),
    ),
    coefficients: Array.from(coefficients),
    standardDeviation: point.standardDeviation,
    logLikelihood: -found.value,
    modelCovariance: block(modelWhole),
    robustCovariance: block(robustWhole),
    record: found.record,
    n,
    nGroups: rows.groupStart.length - 1,
    nClusters: rows.nClusters,
  }
}

/**
 * Columns centred and made uncorrelated with unit spread, X L^-T with L the Cholesky factor of their covariance, so that the search
 * is well conditioned; `back` is L^-T, p x p by rows.
 */
function whitenedDesign(rows: CumulativeLinkRows, p: number) {
  const n = rows.category.length
  const centre = new Float64Array(p)
  const covariance = new Float64Array(p * p)
  for (let i = 0; i < n; i++) for (let j = 0; j < p; j++) centre[j]! += rows.design[i * p + j]! / n
  for (let i = 0; i < n; i++)
    for (let a = 0; a < p; a++)
      for (let b = 0; b < p; b++)
        covariance[a * p + b]! +=
          ((rows.design[i * p + a]! - centre[a]!) * (rows.design[i * p + b]! - centre[b]!)) / n
  const back = inverseTransposedFactor(covariance, p)
  const design = new Float64Array(n * p)
  for (let i = 0; i < n; i++)
    for (let b = 0; b < p; b++) {
      let sum = 0
      for (let a = 0; a <= b; a++) sum += (rows.design[i * p + a]! - centre[a]!) * back[a * p + b]!
      design[i * p + b] = sum
    }
  return { rows: { ...rows, design }, centre, back }
}

/** L^-T, upper triangular, of the Cholesky factor L of a covariance. */
function inverseTransposedFactor(covariance: Float64Array, p: number): Float64Array {
  const rows = Array.from({ length: p }, (_, a) => Array.from(covariance.subarray(a * p, (a + 1) * p)))
  const factor = rows.every((row, a) => row[a]! > 0) ? choleskyFactor(rows) : null
  if (factor === null)
    throw new CannotEstimate(
      'cumulativeLinkRobust',
      'columns that vary, each in its own way',
      'some that do not',
    )
  const back = new Float64Array(p * p)
  for (let c = 0; c < p; c++)
    for (let i = c; i < p; i++) {
      let sum = i === c ? 1 : 0
      for (let k = c; k < i; k++) sum -= factor[i]![k]! * back[c * p + k]!
      back[c * p + i] = sum / factor[i]![i]!
    }
  return back
}

/** Covariance of the coefficients as they came, back C back', from that of the whitened ones, which start at `from` of q. */
function covarianceBack(
  whole: Float64Array,
  q: number,
  from: number,
  back: Float64Array,
  p: number,
): Float64Array {
  const out = new Float64Array(p * p)
  for (let a = 0; a < p; a++)
    for (let b = 0; b < p; b++) {
      let sum = 0
      for (let i = a; i < p; i++)
        for (let j = b; j < p; j++)
          sum += back[a * p + i]! * whole[(from + i) * q + from + j]! * back[b * p + j]!
      out[a * p + b] = sum
    }
  return out
}

/** First threshold, log gaps, coefficients, log standard deviation: from the shares of the categories. */
function startOf(counts: readonly number[], p: number): number[] {
  const n = counts.reduce((a, b) => a + b, 0)
  const cuts: number[] = []
  let below = 0
  for (const count of counts.slice(0, -1)) {
    below += count
    cuts.push(1.4 * Math.log(below / (n - below)))
  }
  const gaps = cuts.slice(1).map((cut, k) => Math.log(Math.max(0.05, cut - cuts[k]!)))
  return [cuts[0]!, ...gaps, ...new Array<number>(p).fill(0), Math.log(1.5)]
}

function pointOf(x: Float64Array, categories: number, p: number): CumulativeLinkPoint {
  const thresholds = [x[0]!]
  for (let k = 1; k < categories - 1; k++) thresholds.push(thresholds[k - 1]! + Math.exp(x[k]!))
  return {
    thresholds,
    coefficients: Array.from(x.subarray(categories - 1, categories - 1 + p)),
    // Under 0.001 the random effect is nil to every digit, and the logarithm would run away.
    standardDeviation: Math.max(1e-3, Math.exp(x[categories - 1 + p]!)),
  }
}

/**
 * Minus the log-likelihood and its gradient in the search's own parameters. Both are worked out at once and the last point is
 * kept, since nearly every step that is tried is taken.
 */
function objective(rows: CumulativeLinkRows, categories: number, p: number): SmoothFunction {
  let last: { readonly x: Float64Array; readonly value: number; readonly total: Float64Array } | null = null
  const at = (x: Float64Array) => {
    if (last?.x.every((component, i) => component === x[i])) return last
    const { logLikelihood, scores, q } = cumulativeLinkScores(rows, pointOf(x, categories, p))
    last = { x: x.slice(), value: -logLikelihood, total: totalOf(scores, q) }
    return last
  }
  const value = (x: Float64Array): number => {
    const point = pointOf(x, categories, p)
    const bad = point.thresholds.some((t, k) => k > 0 && !(t > point.thresholds[k - 1]!))
    return bad || !(point.standardDeviation < 1e3) ? Infinity : at(x).value
  }
  const gradient = (x: Float64Array): Float64Array => {
    const { total } = at(x)
    const found = new Float64Array(x.length)
    // A log gap moves its own and every later threshold.
    let later = 0
    for (let k = categories - 2; k >= 0; k--) {
      later += total[k]!
      found[k] = -later * (k === 0 ? 1 : Math.exp(x[k]!))
    }
    for (let j = 0; j < p; j++) found[categories - 1 + j] = -total[categories - 1 + j]!
    const sd = Math.exp(x[categories - 1 + p]!)
    found[categories - 1 + p] = sd > 1e-3 ? -total[total.length - 1]! * sd : 0
    return found
  }
  return { value, gradient }
}

function totalOf(scores: Float64Array, q: number): Float64Array {
  const total = new Float64Array(q)
  for (let i = 0; i < scores.length; i++) total[i % q]! += scores[i]!
  return total
}

/** Observed information by forward differences of the scores (right to about 1 in 10,000), and the clusters' squared scores summed. */
function breadAndMeat(rows: CumulativeLinkRows, point: CumulativeLinkPoint) {
  const { scores, q } = cumulativeLinkScores(rows, point)
  const meat = new Float64Array(q * q)
  for (let c = 0; c < rows.nClusters; c++)
    for (let a = 0; a < q; a++)
      for (let b = 0; b < q; b++) meat[a * q + b]! += scores[c * q + a]! * scores[c * q + b]!
  const all = [...point.thresholds, ...point.coefficients, point.standardDeviation]
  const p = point.coefficients.length
  const at = (j: number, by: number) => {
    const moved = all.map((value, i) => (i === j ? value + by : value))
    return totalOf(
      cumulativeLinkScores(rows, {
        thresholds: moved.slice(0, -p - 1),
        coefficients: moved.slice(-p - 1, -1),
        standardDeviation: moved.at(-1)!,
      }).scores,
      q,
    )
  }
  const here = totalOf(scores, q)
  const bread = new Float64Array(q * q)
  for (let j = 0; j < q; j++) {
    const h = j === q - 1 ? Math.min(1e-4, point.standardDeviation / 4) : 1e-4
    const up = at(j, h)
    for (let i = 0; i < q; i++) bread[i * q + j] = -(up[i]! - here[i]!) / h
  }
  for (let i = 0; i < q; i++)
    for (let j = 0; j < i; j++) {
      const middle = (bread[i * q + j]! + bread[j * q + i]!) / 2
      bread[i * q + j] = middle
      bread[j * q + i] = middle
    }
  return { bread, meat }
}

function sandwich(inverse: Float64Array, meat: Float64Array, q: number, clusters: number): Float64Array {
  const product = (a: Float64Array, b: Float64Array) =>
    Float64Array.from({ length: q * q }, (_, k) => {
      let sum = 0
      for (let m = 0; m < q; m++) sum += a[Math.floor(k / q) * q + m]! * b[m * q + (k % q)]!
      return sum
    })
  return product(product(inverse, meat), inverse).map((value) => (value * clusters) / (clusters - 1))
}
