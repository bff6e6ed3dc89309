import {
  cumulate,
  type Edges,
  joinEdges,
  kuhnTuckerExcess,
  logLikelihood,
  massGradient,
} from './mixture-likelihood.ts'

const TOLERANCE = 1e-10

/**
 * From masses near the maximum to the maximum itself: Newton steps on the places that hold mass, dropping places whose mass
 * reaches 0 and adding those whose gradient exceeds the total, until the Kuhn-Tucker conditions hold.
 * In the manner of Wang (2007) J R Stat Soc B 69:185-198 (constrained Newton), with exact zeros.
 */
export function polishOnSupport(
  edges: Edges,
  start: Float64Array,
): { mass: Float64Array; converged: boolean } {
  let mass: Float64Array = start
  for (let round = 0; round < 200; round++) {
    mass = newtonOnSupport(edges, mass)
    const distribution = cumulate(mass)
    const gradient = massGradient(edges, distribution)
    if (kuhnTuckerExcess(edges, gradient) <= TOLERANCE) return { mass, converged: true }
    const grown = addSupport(edges, mass, distribution, gradient)
    if (grown === null) return { mass, converged: kuhnTuckerExcess(edges, gradient) <= 1e-7 }
    mass = grown
  }
  return { mass, converged: false }
}

/** In each run of empty places, gives the one with the steepest gradient a first small mass. */
function addSupport(
  edges: Edges,
  mass: Float64Array,
  distribution: Float64Array,
  gradient: Float64Array,
): Float64Array | null {
  const added: number[] = []
  let best = -1
  for (let j = 0; j <= mass.length; j++) {
    if (j < mass.length && mass[j] === 0) {
      if (gradient[j]! > edges.total * (1 + TOLERANCE) && (best < 0 || gradient[j]! > gradient[best]!))
        best = j
      continue
    }
    if (best >= 0) added.push(best)
    best = -1
  }
  if (added.length === 0) return null
  const goal = new Float64Array(mass.length)
  for (const j of added) goal[j] = 1 / added.length
  const goalDistribution = cumulate(goal)
  let slope = 0
  let curvature = 0
  for (let i = 0; i < edges.from.length; i++) {
    const a = edges.from[i]!
    const b = edges.to[i]!
    const ratio = (goalDistribution[b]! - goalDistribution[a]!) / (distribution[b]! - distribution[a]!) - 1
    slope += edges.weight[i]! * ratio
    curvature += edges.weight[i]! * ratio * ratio
  }
  const step = Math.min(0.5, slope / curvature)
  if (!(step > 0)) return null
  return mass.map((p, j) => (1 - step) * p + step * goal[j]!)
}

function newtonOnSupport(edges: Edges, start: Float64Array): Float64Array {
  let support: Int32Array = supportOf(start)
  let reduced = reduceEdges(edges, support)
  let mass: Float64Array = Float64Array.from(support, (j) => start[j]!)
  for (let iteration = 0; iteration < 500 && support.length > 1; iteration++) {
    const { step, decrement } = newtonStep(reduced, mass)
    const moved = moveWithin(reduced, mass, step, decrement)
    if (moved === null) break
    mass = moved
    if (mass.includes(0)) {
      const kept = Array.from(mass.keys()).filter((j) => mass[j]! > 0)
      support = Int32Array.from(kept, (j) => support[j]!)
      mass = Float64Array.from(kept, (j) => mass[j]!)
      reduced = reduceEdges(edges, support)
    } else if (decrement <= 1e-15 * edges.total) break
  }
  const full = new Float64Array(start.length)
  const sum = mass.reduce((a, b) => a + b, 0)
  support.forEach((j, k) => {
    full[j] = mass[k]! / sum
  })
  return full
}

const supportOf = (mass: Float64Array) => Int32Array.from(Array.from(mass.keys()).filter((j) => mass[j]! > 0))

function reduceEdges(edges: Edges, support: Int32Array): Edges {
  // before[j]: how many support places lie before place j.
  const before = new Int32Array(edges.places + 1)
  let k = 0
  for (let j = 0; j <= edges.places; j++) {
    before[j] = k
    if (k < support.length && support[k] === j) k++
  }
  const first = edges.from.map((a) => before[a]!)
  const last = edges.to.map((b) => before[b]! - 1)
  return joinEdges(first, last, edges.weight, support.length)
}

/** The move of the masses: a full Newton step with all that fall below 0 cut off, or else as far as the first of them allows. */
function moveWithin(
  edges: Edges,
  mass: Float64Array,
  step: Float64Array,
  decrement: number,
): Float64Array | null {
  const before = logLikelihood(edges, cumulate(mass))
  // Below this the rise cannot be told from rounding; the step is then right to second order anyway.
  const slack = 1e-12 * (Math.abs(before) + edges.total)
  const acceptable = (trial: Float64Array) => logLikelihood(edges, cumulate(trial)) >= before - slack
  if (!Number.isFinite(decrement)) return null
  const cut = mass.map((p, j) => Math.max(0, p + step[j]!))
  const sum = cut.reduce((a, b) => a + b, 0)
  const scaled = cut.map((p) => p / sum)
  if (logLikelihood(edges, cumulate(scaled)) >= before + Math.min(0.01 * decrement, 1) - slack) return scaled
  let reach = 1
  let blocking = -1
  for (let j = 0; j < mass.length; j++) {
    if (mass[j]! + reach * step[j]! < 0) {
      reach = mass[j]! / -step[j]!
      blocking = j
    }
  }
  for (let shrink = 1; shrink > 1e-10; shrink /= 2) {
    const trial = mass.map((p, j) => Math.max(0, p + shrink * reach * step[j]!))
    if (shrink === 1 && blocking >= 0) trial[blocking] = 0
    if (acceptable(trial)) return trial
  }
  return null
}

/** Newton's step of the masses and its decrement, by preconditioned conjugate gradients in F (the Hessian is a graph's Laplacian). */
function newtonStep(edges: Edges, mass: Float64Array): { step: Float64Array; decrement: number } {
  const k = edges.places
  const distribution = cumulate(mass)
  const conductance = new Float64Array(edges.from.length)
  const slope = new Float64Array(k + 1)
  const diagonal = new Float64Array(k + 1)
  const beside = new Float64Array(k + 1)
  for (let i = 0; i < edges.from.length; i++) {
    const a = edges.from[i]!
    const b = edges.to[i]!
    const inverse = 1 / (distribution[b]! - distribution[a]!)
    const c = edges.weight[i]! * inverse * inverse
    conductance[i] = c
    slope[a]! -= edges.weight[i]! * inverse
    slope[b]! += edges.weight[i]! * inverse
    diagonal[a]! += c
    diagonal[b]! += c
    if (b === a + 1) beside[b]! += c
  }
  const multiply = (x: Float64Array, out: Float64Array) => {
    out.fill(0)
    for (let i = 0; i < edges.from.length; i++) {
      const flow = conductance[i]! * (x[edges.to[i]!]! - x[edges.from[i]!]!)
      out[edges.to[i]!]! += flow
      out[edges.from[i]!]! -= flow
    }
    out[0] = 0
    out[k] = 0
  }
  const shift = conjugateGradients(multiply, tridiagonalSolver(diagonal, beside), slope)
  let decrement = 0
  for (let j = 1; j < k; j++) decrement += slope[j]! * shift[j]!
  return { step: Float64Array.from({ length: k }, (_, j) => shift[j + 1]! - shift[j]!), decrement }
}

/** Solves the tridiagonal part of the Hessian on the inner nodes (the ends are held), for the preconditioner. */
function tridiagonalSolver(diagonal: Float64Array, beside: Float64Array) {
  const k = diagonal.length - 1
  const pivot = new Float64Array(k + 1)
  // The tiny addition keeps parts that the likelihood leaves undetermined from a zero pivot.
  for (let j = 1; j < k; j++)
    pivot[j] = diagonal[j]! * (1 + 1e-12) - (j > 1 ? beside[j]! ** 2 / pivot[j - 1]! : 0)
  return (right: Float64Array, out: Float64Array) => {
    out.fill(0)
    for (let j = 1; j < k; j++) out[j] = right[j]! + (j > 1 ? (beside[j]! * out[j - 1]!) / pivot[j - 1]! : 0)
    for (let j = k - 1; j >= 1; j--)
      out[j] = (out[j]! + (j < k - 1 ? beside[j + 1]! * out[j + 1]! : 0)) / pivot[j]!
  }
}

type Apply = (x: Float64Array, out: Float64Array) => void

function conjugateGradients(multiply: Apply, precondition: Apply, slope: Float64Array): Float64Array {
  const size = slope.length
  const x = new Float64Array(size)
  const residual = slope.slice()
  residual[0] = 0
  residual[size - 1] = 0
  const z = new Float64Array(size)
  const image = new Float64Array(size)
  precondition(residual, z)
  let along = dot(residual, z)
  const goal = along * 1e-26
  const direction = z.slice()
  for (let i = 0; i < 2 * size + 20 && along > goal; i++) {
    multiply(direction, image)
    const curvature = dot(direction, image)
    if (!(curvature > 0)) break
    const step = along / curvature
    for (let j = 0; j < size; j++) {
      x[j]! += step * direction[j]!
      residual[j]! -= step * image[j]!
    }
    precondition(residual, z)
    const next = dot(residual, z)
    const ratio = next / along
    for (let j = 0; j < size; j++) direction[j] = z[j]! + ratio * direction[j]!
    along = next
  }
  return x
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0
  for (let j = 0; j < a.length; j++) sum += a[j]! * b[j]!
  return sum
}
