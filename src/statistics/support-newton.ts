import { newtonStep } from './graph-newton-step.ts'
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
