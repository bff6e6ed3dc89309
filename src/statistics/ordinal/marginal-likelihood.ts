import type { GaussHermite } from './gauss-hermite.ts'
import { type Cell, emptyCell, fillCell, type Link } from './links.ts'
import type { OrdinalRows } from './ordinal-data.ts'
import type { ThresholdMap } from './thresholds.ts'

export interface OrdinalModel {
  readonly rows: OrdinalRows
  readonly link: Link
  readonly thresholds: ThresholdMap
  /** Null without a random effect. */
  readonly quadrature: GaussHermite | null
}

/** -log likelihood and its gradient by (threshold parameters, coefficients, random standard deviation). */
export interface OrdinalEvaluation {
  readonly value: number
  readonly gradient: Float64Array
}

interface Point {
  /** Cut points with -Infinity before and Infinity behind. */
  readonly cuts: Float64Array
  readonly eta: Float64Array
  readonly sd: number
}

export function pointOf({ rows, thresholds }: OrdinalModel, x: Float64Array): Point {
  const r = thresholds.names.length
  const p = rows.names.length
  const inner = thresholds.matrix.map((row) => row.reduce((sum, weight, k) => sum + weight * x[k]!, 0))
  const eta = new Float64Array(rows.category.length)
  const { design } = rows
  for (let i = 0; i < eta.length; i++) {
    let sum = 0
    for (let j = 0; j < p; j++) sum += design[i * p + j]! * x[r + j]!
    eta[i] = sum
  }
  return { cuts: Float64Array.from([-Infinity, ...inner, Infinity]), eta, sd: x[r + p] ?? 0 }
}

/**
 * Marginal -log likelihood by adaptive Gauss–Hermite quadrature about each group's posterior mode, and its gradient as the
 * posterior mean of the complete-data score (Fisher's identity, exact up to the quadrature's own error).
 *
 * Source: Pinheiro and Bates (1995) J Comp Graph Stat 4:12-35, section 2.4; Christensen, vignette of R's ordinal.
 */
export function marginalLikelihood(model: OrdinalModel, x: Float64Array): OrdinalEvaluation {
  const { rows, quadrature } = model
  const point = pointOf(model, x)
  const { cuts } = point
  for (let k = 1; k < cuts.length; k++)
    if (!(cuts[k]! > cuts[k - 1]!)) return { value: Infinity, gradient: new Float64Array(x.length) }
  const raw = rawScores(model)
  const cell = emptyCell()
  let logLikelihood = 0
  if (quadrature === null) logLikelihood = addScores(model, point, 0, rows.category.length, 0, cell, raw)
  else
    for (let g = 0; g + 1 < rows.groupStart.length; g++)
      logLikelihood += groupLikelihood(model, quadrature, point, g, cell, raw)
  const value = Number.isFinite(logLikelihood) ? -logLikelihood : Infinity
  return { value, gradient: scoreOf(model, raw, x.length).map((score) => -score) }
}

/**
 * Scores of the log likelihood summed by cluster, nClusters x parameters by rows; `clusterOf` is the cluster (0, 1, ...) of each
 * group. Their sum is minus the gradient of {@link marginalLikelihood}.
 */
export function clusterScores(
  model: OrdinalModel & { readonly quadrature: GaussHermite },
  x: Float64Array,
  clusterOf: ArrayLike<number>,
  nClusters: number,
): Float64Array {
  const point = pointOf(model, x)
  const scores = new Float64Array(nClusters * x.length)
  const cell = emptyCell()
  for (let g = 0; g < clusterOf.length; g++) {
    const raw = rawScores(model)
    groupLikelihood(model, model.quadrature, point, g, cell, raw)
    const own = scoreOf(model, raw, x.length)
    for (let k = 0; k < own.length; k++) scores[clusterOf[g]! * x.length + k]! += own[k]!
  }
  return scores
}

/** Room for the scores by each cut point, each coefficient and the random standard deviation. */
const rawScores = ({ rows, thresholds }: OrdinalModel): Float64Array =>
  new Float64Array(thresholds.matrix.length + rows.names.length + 1)

/** Scores by the model's own parameters, from those by cut point. */
function scoreOf({ rows, thresholds }: OrdinalModel, raw: Float64Array, parameters: number): Float64Array {
  const nCuts = thresholds.matrix.length
  const r = thresholds.names.length
  const p = rows.names.length
  const score = new Float64Array(parameters)
  for (let k = 0; k < r; k++) for (let j = 0; j < nCuts; j++) score[k]! += thresholds.matrix[j]![k]! * raw[j]!
  for (let j = 0; j < p; j++) score[r + j] = raw[nCuts + j]!
  if (parameters > r + p) score[r + p] = raw[nCuts + p]!
  return score
}

function groupLikelihood(
  model: OrdinalModel,
  { nodes, weights }: GaussHermite,
  point: Point,
  g: number,
  cell: Cell,
  raw: Float64Array,
): number {
  const from = model.rows.groupStart[g]!
  const to = model.rows.groupStart[g + 1]!
  const { mode, curvature } = posteriorMode(model, point, from, to, cell)
  const spread = 1 / Math.sqrt(curvature)
  const logs = new Float64Array(nodes.length)
  const scores = new Float64Array(nodes.length * raw.length)
  let largest = -Infinity
  for (let k = 0; k < nodes.length; k++) {
    const z = mode + spread * nodes[k]!
    logs[k] =
      addScores(model, point, from, to, z, cell, scores, k * raw.length) -
      (z * z) / 2 +
      nodes[k]! ** 2 / 2 +
      Math.log(weights[k]!)
    largest = Math.max(largest, logs[k]!)
  }
  let total = 0
  for (const value of logs) total += Math.exp(value - largest)
  for (let k = 0; k < nodes.length; k++) {
    const weight = Math.exp(logs[k]! - largest) / total
    for (let j = 0; j < raw.length; j++) raw[j]! += weight * scores[k * raw.length + j]!
  }
  return largest + Math.log(total * spread)
}

/** Mode of log p(y | sd z) - z²/2 (concave) by Newton's method, and minus its second derivative there. */
export function posteriorMode(
  { rows, link }: OrdinalModel,
  { cuts, eta, sd }: Point,
  from: number,
  to: number,
  cell: Cell,
): { readonly mode: number; readonly curvature: number } {
  let z = 0
  let curvature = 1
  for (let step = 0; step < 100; step++) {
    let slope = -z
    curvature = 1
    for (let i = from; i < to; i++) {
      const shift = eta[i]! + sd * z
      const y = rows.category[i]!
      fillCell(link, cuts[y + 1]! - shift, cuts[y]! - shift, cell)
      slope += sd * cell.gradient
      curvature -= sd * sd * cell.curvature
    }
    // Bounded steps: far from the mode the curvature says little.
    const move = Math.max(-2, Math.min(2, slope / curvature))
    z += move
    if (Math.abs(move) < 1e-9) break
  }
  return { mode: z, curvature }
}

/** Adds the complete-data score at one random effect to `raw` from `at` on; returns the log probability. */
function addScores(
  { rows, link }: OrdinalModel,
  { cuts, eta, sd }: Point,
  from: number,
  to: number,
  z: number,
  cell: Cell,
  raw: Float64Array,
  at = 0,
): number {
  const nCuts = cuts.length - 2
  const p = rows.names.length
  let sum = 0
  for (let i = from; i < to; i++) {
    const shift = eta[i]! + sd * z
    const y = rows.category[i]!
    fillCell(link, cuts[y + 1]! - shift, cuts[y]! - shift, cell)
    sum += cell.logProbability
    if (y < nCuts) raw[at + y]! += cell.byUpper
    if (y > 0) raw[at + y - 1]! += cell.byLower
    for (let j = 0; j < p; j++) raw[at + nCuts + j]! += cell.gradient * rows.design[i * p + j]!
    raw[at + nCuts + p]! += cell.gradient * z
  }
  return sum
}
