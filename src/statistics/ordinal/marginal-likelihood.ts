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

interface QuadratureModel extends OrdinalModel {
  readonly quadrature: GaussHermite
}

const hasQuadrature = (model: OrdinalModel): model is QuadratureModel => model.quadrature !== null

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
  const point = pointOf(model, x)
  const { cuts } = point
  for (let k = 1; k < cuts.length; k++)
    if (!(cuts[k]! > cuts[k - 1]!)) return { value: Infinity, gradient: new Float64Array(x.length) }
  const raw = rawScores(model)
  const logLikelihood = hasQuadrature(model)
    ? groupsLikelihood(model, point, raw)
    : plainLikelihood(model, point, raw)
  const value = Number.isFinite(logLikelihood) ? -logLikelihood : Infinity
  return { value, gradient: scoreOf(model, raw, x.length).map((score) => -score) }
}

/**
 * Scores of the log likelihood summed by cluster, nClusters x parameters by rows; `clusterOf` is the cluster (0, 1, ...) of each
 * group. Their sum is minus the gradient of {@link marginalLikelihood}.
 */
export function clusterScores(
  model: QuadratureModel,
  x: Float64Array,
  clusterOf: ArrayLike<number>,
  nClusters: number,
): Float64Array {
  const point = pointOf(model, x)
  const scores = new Float64Array(nClusters * x.length)
  const room = roomFor(model.rows, model.quadrature.nodes.length)
  for (let g = 0; g < clusterOf.length; g++) {
    const raw = rawScores(model)
    groupLikelihood(model, point, g, room, raw)
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

function groupsLikelihood(model: QuadratureModel, point: Point, raw: Float64Array): number {
  const room = roomFor(model.rows, model.quadrature.nodes.length)
  let sum = 0
  for (let g = 0; g + 1 < model.rows.groupStart.length; g++)
    sum += groupLikelihood(model, point, g, room, raw)
  return sum
}

/** Room for the derivatives of every row of a group at every node. */
interface Room {
  readonly cell: Cell
  readonly logs: Float64Array
  readonly byUpper: Float64Array
  readonly byLower: Float64Array
  readonly gradient: Float64Array
}

function roomFor({ groupStart }: OrdinalRows, nodes: number): Room {
  let most = 0
  for (let g = 1; g < groupStart.length; g++) most = Math.max(most, groupStart[g]! - groupStart[g - 1]!)
  const each = () => new Float64Array(most * nodes)
  return {
    cell: emptyCell(),
    logs: new Float64Array(nodes),
    byUpper: each(),
    byLower: each(),
    gradient: each(),
  }
}

/** Adds a group's scores to `raw`; returns its log likelihood. */
function groupLikelihood(
  { rows, link, quadrature }: QuadratureModel,
  point: Point,
  g: number,
  room: Room,
  raw: Float64Array,
): number {
  const { nodes, weights } = quadrature
  const { category, groupStart } = rows
  const { cell, logs, byUpper, byLower, gradient } = room
  const from = groupStart[g]!
  const to = groupStart[g + 1]!
  const { mode, curvature } = posteriorMode(rows, link, point, from, to, cell)
  const spread = 1 / Math.sqrt(curvature)
  let largest = -Infinity
  let at = 0
  for (let k = 0; k < nodes.length; k++) {
    const z = mode + spread * nodes[k]!
    let log = (nodes[k]! ** 2 - z * z) / 2 + Math.log(weights[k]!)
    for (let i = from; i < to; i++, at++) {
      fillRow(link, point, category[i]!, i, z, cell)
      log += cell.logProbability
      byUpper[at] = cell.byUpper
      byLower[at] = cell.byLower
      gradient[at] = cell.gradient
    }
    logs[k] = log
    largest = Math.max(largest, log)
  }
  let total = 0
  for (const log of logs) total += Math.exp(log - largest)
  const size = to - from
  for (let i = 0; i < size; i++) {
    const mean = { byUpper: 0, byLower: 0, gradient: 0, bySd: 0 }
    for (let k = 0; k < nodes.length; k++) {
      const weight = Math.exp(logs[k]! - largest) / total
      const own = k * size + i
      mean.byUpper += weight * byUpper[own]!
      mean.byLower += weight * byLower[own]!
      mean.gradient += weight * gradient[own]!
      mean.bySd += weight * gradient[own]! * (mode + spread * nodes[k]!)
    }
    addScore(rows, point, from + i, mean, raw)
  }
  return largest + Math.log(total * spread)
}

/** Fills the cell of a row, whose category it is, at one random effect. */
function fillRow(link: Link, { cuts, eta, sd }: Point, y: number, i: number, z: number, cell: Cell): void {
  const shift = eta[i]! + sd * z
  fillCell(link, cuts[y + 1]! - shift, cuts[y]! - shift, cell)
}

/** Mode of log p(y | sd z) - z²/2 (concave) by Newton's method, and minus its second derivative there. */
export function posteriorMode(
  { category }: OrdinalRows,
  link: Link,
  point: Point,
  from: number,
  to: number,
  cell: Cell,
): { readonly mode: number; readonly curvature: number } {
  const { sd } = point
  let z = 0
  let curvature = 1
  for (let step = 0; step < 100; step++) {
    let slope = -z
    curvature = 1
    for (let i = from; i < to; i++) {
      fillRow(link, point, category[i]!, i, z, cell)
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

/** Adds a row's score by its cut points, the coefficients and the random standard deviation. */
function addScore(
  { names, design, category }: OrdinalRows,
  { cuts }: Point,
  i: number,
  row: {
    readonly byUpper: number
    readonly byLower: number
    readonly gradient: number
    readonly bySd?: number
  },
  raw: Float64Array,
): void {
  const nCuts = cuts.length - 2
  const p = names.length
  const y = category[i]!
  if (y < nCuts) raw[y]! += row.byUpper
  if (y > 0) raw[y - 1]! += row.byLower
  for (let j = 0; j < p; j++) raw[nCuts + j]! += row.gradient * design[i * p + j]!
  raw[nCuts + p]! += row.bySd ?? 0
}

/** Adds the scores of all rows where there is no random effect; returns the log likelihood. */
function plainLikelihood({ rows, link }: OrdinalModel, point: Point, raw: Float64Array): number {
  const cell = emptyCell()
  let sum = 0
  for (let i = 0; i < rows.category.length; i++) {
    fillRow(link, point, rows.category[i]!, i, 0, cell)
    sum += cell.logProbability
    addScore(rows, point, i, cell, raw)
  }
  return sum
}
