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
  for (let i = 0; i < eta.length; i++)
    for (let j = 0; j < p; j++) eta[i]! += rows.design[i * p + j]! * x[r + j]!
  return { cuts: Float64Array.from([-Infinity, ...inner, Infinity]), eta, sd: x[r + p] ?? 0 }
}

/**
 * Marginal -log likelihood by adaptive Gauss–Hermite quadrature about each group's posterior mode, and its gradient as the
 * posterior mean of the complete-data score (Fisher's identity, exact up to the quadrature's own error).
 *
 * Source: Pinheiro and Bates (1995) J Comp Graph Stat 4:12-35, section 2.4; Christensen, vignette of R's ordinal.
 */
export function marginalLikelihood(model: OrdinalModel, x: Float64Array): OrdinalEvaluation {
  const { rows, thresholds, quadrature } = model
  const point = pointOf(model, x)
  const { cuts } = point
  const nCuts = cuts.length - 2
  const r = thresholds.names.length
  const p = rows.names.length
  const gradient = new Float64Array(x.length)
  for (let k = 1; k < cuts.length; k++) if (!(cuts[k]! > cuts[k - 1]!)) return { value: Infinity, gradient }
  // Scores by each threshold, each coefficient and the standard deviation.
  const raw = new Float64Array(nCuts + p + 1)
  const cell = emptyCell()
  let logLikelihood = 0
  if (quadrature === null) logLikelihood = addScores(model, point, 0, rows.category.length, 0, 1, cell, raw)
  else
    for (let g = 0; g + 1 < rows.groupStart.length; g++)
      logLikelihood += groupLikelihood(model, quadrature, point, g, cell, raw)
  for (let k = 0; k < r; k++)
    for (let j = 0; j < nCuts; j++) gradient[k]! -= thresholds.matrix[j]![k]! * raw[j]!
  for (let j = 0; j < p; j++) gradient[r + j] = -raw[nCuts + j]!
  if (x.length > r + p) gradient[r + p] = -raw[nCuts + p]!
  return { value: Number.isFinite(logLikelihood) ? -logLikelihood : Infinity, gradient }
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
  let largest = -Infinity
  for (let k = 0; k < nodes.length; k++) {
    const z = mode + spread * nodes[k]!
    logs[k] =
      logProbability(model, point, from, to, z, cell) -
      (z * z) / 2 +
      nodes[k]! ** 2 / 2 +
      Math.log(weights[k]!)
    largest = Math.max(largest, logs[k]!)
  }
  let total = 0
  for (const value of logs) total += Math.exp(value - largest)
  for (let k = 0; k < nodes.length; k++) {
    const weight = Math.exp(logs[k]! - largest) / total
    if (weight > 1e-17) addScores(model, point, from, to, mode + spread * nodes[k]!, weight, cell, raw)
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
    if (Math.abs(move) < 1e-11) break
  }
  return { mode: z, curvature }
}

function logProbability(
  { rows, link }: OrdinalModel,
  { cuts, eta, sd }: Point,
  from: number,
  to: number,
  z: number,
  cell: Cell,
): number {
  let sum = 0
  for (let i = from; i < to; i++) {
    const shift = eta[i]! + sd * z
    const y = rows.category[i]!
    fillCell(link, cuts[y + 1]! - shift, cuts[y]! - shift, cell)
    sum += cell.logProbability
  }
  return sum
}

/** Adds the weighted complete-data score at one random effect; returns the log probability. */
function addScores(
  { rows, link }: OrdinalModel,
  { cuts, eta, sd }: Point,
  from: number,
  to: number,
  z: number,
  weight: number,
  cell: Cell,
  raw: Float64Array,
): number {
  const nCuts = cuts.length - 2
  const p = rows.names.length
  let sum = 0
  for (let i = from; i < to; i++) {
    const shift = eta[i]! + sd * z
    const y = rows.category[i]!
    fillCell(link, cuts[y + 1]! - shift, cuts[y]! - shift, cell)
    sum += cell.logProbability
    if (y < nCuts) raw[y]! += weight * cell.byUpper
    if (y > 0) raw[y - 1]! += weight * cell.byLower
    for (let j = 0; j < p; j++) raw[nCuts + j]! += weight * cell.gradient * rows.design[i * p + j]!
    raw[nCuts + p]! += weight * cell.gradient * z
  }
  return sum
}
