import { CannotEstimate } from './shared.ts'

/** A cumulative-link (proportional-odds, logit) model with one random intercept, at given parameters. */
export interface CumulativeLinkPoint {
  /** Ascending, one fewer than the categories: P(Y <= k) = logistic(thresholds[k] - x'b - u). */
  readonly thresholds: readonly number[]
  readonly coefficients: readonly number[]
  /** Standard deviation of u over groups; 0 is no random effect. */
  readonly standardDeviation: number
}

export interface CumulativeLinkRows {
  /** Category of each row, 0 to thresholds.length. */
  readonly category: ArrayLike<number>
  /** Fixed-effects design without an intercept, n rows of p, by rows. */
  readonly design: Float64Array
  /** First row of each group, and n at the end: rows of one group lie together. */
  readonly groupStart: ArrayLike<number>
  /** Cluster (0, 1, ...) of each group. */
  readonly clusterOf: ArrayLike<number>
  readonly nClusters: number
}

export interface CumulativeLinkScores {
  readonly logLikelihood: number
  /** nClusters x q by rows, q = thresholds, coefficients, then the standard deviation (left out where it is 0). */
  readonly scores: Float64Array
  readonly q: number
}

/** Nodes and weights of 9-point Gauss-Hermite quadrature against the standard normal density (NumPy 1.24, hermite_e.hermegauss(9)). */
const NODES = [
  -4.512745863399783, -3.20542900285647, -2.07684797867783, -1.0232556637891326, 0, 1.0232556637891326,
  2.07684797867783, 3.20542900285647, 4.512745863399783,
]
const WEIGHTS = [
  2.2345844007746607e-5, 2.7891413212317692e-3, 4.991640676521782e-2, 0.24409750289493953,
  0.40634920634920635, 0.24409750289493953, 4.991640676521782e-2, 2.7891413212317692e-3,
  2.2345844007746607e-5,
]
const LOG_SCALE = NODES.map((x, k) => Math.log(WEIGHTS[k]!) + (x * x) / 2)

/**
 * Probability of a category between two thresholds, and its derivatives: with F the logistic function and f its slope,
 * p = F(upper) - F(lower), both already less the linear predictor; infinite ends count as 0 and 1.
 */
class Cell {
  p = 0
  upperSlope = 0
  lowerSlope = 0
  /** d log p / d eta. */
  gradient = 0
  /** d^2 log p / d eta^2: never above 0. */
  curvature = 0

  at(lower: number, upper: number): this {
    let high = 1
    let highTail = 0
    if (upper !== Infinity) {
      const e = Math.exp(-Math.abs(upper))
      high = upper >= 0 ? 1 / (1 + e) : e / (1 + e)
      highTail = upper >= 0 ? e / (1 + e) : 1 / (1 + e)
    }
    let low = 0
    let lowTail = 1
    if (lower !== -Infinity) {
      const e = Math.exp(-Math.abs(lower))
      low = lower >= 0 ? 1 / (1 + e) : e / (1 + e)
      lowTail = lower >= 0 ? e / (1 + e) : 1 / (1 + e)
    }
    // The difference of upper tails where both lie above the middle: 1 - 1 would lose all digits.
    this.p = Math.max(lower > 0 ? lowTail - highTail : high - low, 1e-100)
    this.upperSlope = high * highTail
    this.lowerSlope = low * lowTail
    // For the logistic, d log p / d eta = high + low - 1.
    this.gradient = high + low - 1
    this.curvature = -(this.upperSlope + this.lowerSlope)
    return this
  }
}

/**
 * Scores (gradients of the log-likelihood) of a cumulative-link mixed model at given parameters, summed by cluster: what a
 * covariance needs that holds when rows of one cluster depend on each other in more ways than one random intercept tells.
 *
 * logit P(Y <= k | u) = threshold_k - x'b - u, u normal over groups; a cluster may hold several groups. Integrated by adaptive
 * 9-point Gauss-Hermite quadrature at each group's mode. By Fisher's identity a group's score is the mean of the complete-data score
 * over the group's posterior, which the same nodes give.
 *
 * Source: Liu and Pierce (1994) Biometrika 81:624-629 (adaptive quadrature); Christensen (2019) the R package ordinal.
 *
 * @throws CannotEstimate for thresholds that do not ascend, or a category that has none.
 */
export function cumulativeLinkScores(
  rows: CumulativeLinkRows,
  point: CumulativeLinkPoint,
): CumulativeLinkScores {
  checkPoint(rows, point)
  const q = point.thresholds.length + point.coefficients.length + (point.standardDeviation > 0 ? 1 : 0)
  const scores = new Float64Array(rows.nClusters * q)
  return { logLikelihood: overGroups(rows, point, scores, q), scores, q }
}

function overGroups(
  rows: CumulativeLinkRows,
  point: CumulativeLinkPoint,
  scores: Float64Array,
  q: number,
): number {
  const cuts = [-Infinity, ...point.thresholds, Infinity]
  const predictor = linearPredictor(rows, point.coefficients)
  let logLikelihood = 0
  for (let g = 0; g + 1 < rows.groupStart.length; g++) {
    const from = rows.groupStart[g]!
    const to = rows.groupStart[g + 1]!
    const at = rows.clusterOf[g]! * q
    logLikelihood += groupScore(rows, point, { predictor, cuts, from, to }, scores, at)
  }
  return logLikelihood
}

function checkPoint(rows: CumulativeLinkRows, point: CumulativeLinkPoint): void {
  const name = 'cumulativeLinkScores'
  const { thresholds } = point
  if (thresholds.length === 0 || thresholds.some((t, k) => k > 0 && !(t > thresholds[k - 1]!)))
    throw new CannotEstimate(name, 'ascending thresholds', thresholds.join(', ') || 'none')
  for (let i = 0; i < rows.category.length; i++) {
    const y = rows.category[i]!
    if (!(Number.isInteger(y) && y >= 0 && y <= thresholds.length))
      throw new CannotEstimate(name, `categories from 0 to ${thresholds.length}`, String(y))
  }
}

function linearPredictor(rows: CumulativeLinkRows, coefficients: readonly number[]): Float64Array {
  const p = coefficients.length
  const eta = new Float64Array(rows.category.length)
  for (let i = 0; i < eta.length; i++)
    for (let j = 0; j < p; j++) eta[i]! += rows.design[i * p + j]! * coefficients[j]!
  return eta
}

interface Group {
  readonly predictor: Float64Array
  readonly cuts: readonly number[]
  readonly from: number
  readonly to: number
}

/** Mode and spread of z = u / sd given a group's rows, by Newton's method: the log posterior is concave. */
function posteriorMode(
  rows: CumulativeLinkRows,
  sd: number,
  { predictor, cuts, from, to }: Group,
  cell: Cell,
): { readonly mode: number; readonly spread: number } {
  let mode = 0
  let curvature = -1
  for (let step = 0; step < 50; step++) {
    let gradient = -mode
    curvature = -1
    for (let i = from; i < to; i++) {
      const y = rows.category[i]!
      const eta = predictor[i]! + sd * mode
      cell.at(cuts[y]! - eta, cuts[y + 1]! - eta)
      gradient += sd * cell.gradient
      curvature += sd * sd * cell.curvature
    }
    const move = Math.max(-2, Math.min(2, -gradient / curvature))
    mode += move
    if (Math.abs(move) < 1e-8) break
  }
  return { mode, spread: 1 / Math.sqrt(-curvature) }
}

/** Adds a group's score to its cluster's row and returns its log-likelihood. */
function groupScore(
  rows: CumulativeLinkRows,
  point: CumulativeLinkPoint,
  group: Group,
  scores: Float64Array,
  at: number,
): number {
  const sd = point.standardDeviation
  const cell = new Cell()
  const q = point.thresholds.length + point.coefficients.length + (sd > 0 ? 1 : 0)
  if (sd === 0) {
    return completeData(rows, point, group, 0, cell, scores.subarray(at, at + q))
  }
  const { mode, spread } = posteriorMode(rows, sd, group, cell)
  const nodes = NODES.length
  const logs = new Float64Array(nodes)
  const parts = new Float64Array(nodes * q)
  let largest = -Infinity
  for (let k = 0; k < nodes; k++) {
    const z = mode + spread * NODES[k]!
    const own = parts.subarray(k * q, (k + 1) * q)
    logs[k] = completeData(rows, point, group, z, cell, own) - (z * z) / 2 + LOG_SCALE[k]!
    largest = Math.max(largest, logs[k]!)
  }
  let total = 0
  for (let k = 0; k < nodes; k++) total += Math.exp(logs[k]! - largest)
  for (let k = 0; k < nodes; k++) {
    const weight = Math.exp(logs[k]! - largest) / total
    for (let j = 0; j < q; j++) scores[at + j]! += weight * parts[k * q + j]!
  }
  return largest + Math.log(total * spread)
}

/** Log-probability of a group's rows at one value of the random effect; its derivatives are added to `own`. */
function completeData(
  rows: CumulativeLinkRows,
  point: CumulativeLinkPoint,
  { predictor, cuts, from, to }: Group,
  z: number,
  cell: Cell,
  own: Float64Array,
): number {
  const sd = point.standardDeviation
  const nThresholds = point.thresholds.length
  const p = point.coefficients.length
  let product = 1
  let sum = 0
  for (let i = from; i < to; i++) {
    const y = rows.category[i]!
    const eta = predictor[i]! + sd * z
    cell.at(cuts[y]! - eta, cuts[y + 1]! - eta)
    // One logarithm for many rows: the product is taken down before it can underflow.
    product *= cell.p
    if (product < 1e-200) {
      sum += Math.log(product)
      product = 1
    }
    if (y < nThresholds) own[y]! += cell.upperSlope / cell.p
    if (y > 0) own[y - 1]! -= cell.lowerSlope / cell.p
    for (let j = 0; j < p; j++) own[nThresholds + j]! += cell.gradient * rows.design[i * p + j]!
    if (sd > 0) own[nThresholds + p]! += cell.gradient * z
  }
  return sum + Math.log(product)
}
