import { convexMinorantStep } from './iterative-convex-minorant.ts'
import {
  cumulate,
  type Edges,
  emStep,
  kuhnTuckerExcess,
  logLikelihood,
  massGradient,
} from './mixture-likelihood.ts'
import { polishOnSupport } from './support-newton.ts'

export interface Masses {
  readonly mass: Float64Array
  readonly logLikelihood: number
  /** The largest of gradient / n - 1: at most 0, but for rounding, at the maximum. */
  readonly kuhnTuckerExcess: number
  readonly converged: boolean
  /** False where other masses on the same places have the same likelihood. */
  readonly unique: boolean
}

/** Masses that maximise the likelihood: EM and iterative convex minorant steps until near, then Newton's on the support. */
export function maximiseMasses(edges: Edges): Masses {
  const m = edges.places
  let mass = new Float64Array(m).fill(1 / m)
  if (m > 1) {
    for (let i = 0; i < 5; i++) emStep(edges, mass, massGradient(edges, cumulate(mass)))
    for (let i = 0; i < 100; i++) {
      mass = new Float64Array(convexMinorantStep(edges, mass))
      const gradient = massGradient(edges, cumulate(mass))
      if (kuhnTuckerExcess(edges, gradient) < 1e-3) break
      emStep(edges, mass, gradient)
    }
    mass = clearDust(edges, mass)
  }
  const polished = m > 1 ? polishOnSupport(edges, mass) : { mass, converged: true }
  const unique = isDetermined(edges, polished.mass)
  const final = unique ? polished.mass : selfConsistentMasses(edges)
  const distribution = cumulate(final)
  return {
    mass: final,
    logLikelihood: logLikelihood(edges, distribution),
    kuhnTuckerExcess: kuhnTuckerExcess(edges, massGradient(edges, distribution)),
    converged: polished.converged,
    unique,
  }
}

/** Sets specks of mass to 0 so that Newton's method need not carry them; keeps them where an observation would be left without. */
function clearDust(edges: Edges, mass: Float64Array): Float64Array<ArrayBuffer> {
  const cleared = mass.map((p) => (p < 1e-9 ? 0 : p))
  const sum = cleared.reduce((a, b) => a + b, 0)
  const scaled = cleared.map((p) => p / sum)
  return new Float64Array(Number.isFinite(logLikelihood(edges, cumulate(scaled))) ? scaled : mass)
}

/**
 * Whether the likelihood determines the masses on their support: every node of the distribution function there must be tied, by
 * observations that end at it, to one of the two ends (Gentleman and Geyer 1994 Biometrika 81:618-623 in the language of graphs).
 */
function isDetermined(edges: Edges, mass: Float64Array): boolean {
  const node = new Int32Array(mass.length + 1)
  for (let j = 0; j < mass.length; j++) node[j + 1] = node[j]! + (mass[j]! > 0 ? 1 : 0)
  const last = node[mass.length]!
  const parent = Int32Array.from({ length: last + 1 }, (_, k) => k)
  parent[last] = 0
  const root = (k: number) => {
    let at = k
    while (parent[at] !== at) {
      parent[at] = parent[parent[at]!]!
      at = parent[at]!
    }
    return at
  }
  for (let i = 0; i < edges.from.length; i++) parent[root(node[edges.from[i]!]!)] = root(node[edges.to[i]!]!)
  return parent.every((_, k) => root(k) === root(0))
}

/** The limit of Turnbull's own algorithm from equal masses: the customary choice where the maximum is not unique. */
function selfConsistentMasses(edges: Edges): Float64Array {
  const mass = new Float64Array(edges.places).fill(1 / edges.places)
  const steps = Math.min(200_000, Math.ceil(4e8 / (edges.places + edges.from.length)))
  for (let i = 0; i < steps; i++) {
    const before = mass.slice()
    emStep(edges, mass, massGradient(edges, cumulate(mass)))
    if (before.every((p, j) => Math.abs(p - mass[j]!) < 1e-14)) break
  }
  return mass
}
