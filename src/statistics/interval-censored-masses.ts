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
}

/**
 * Masses that maximise the likelihood: EM and iterative convex minorant steps until near, then Newton's on the support.
 *
 * The maximum is unique. The likelihood is strictly concave in the probabilities of the observations, so these are determined; and the places being
 * innermost intervals, some observation ends at each node of the distribution function, so from the first node on each value of it
 * follows from an earlier one.
 */
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
  const distribution = cumulate(polished.mass)
  return {
    mass: polished.mass,
    logLikelihood: logLikelihood(edges, distribution),
    kuhnTuckerExcess: kuhnTuckerExcess(edges, massGradient(edges, distribution)),
    converged: polished.converged,
  }
}

/** Sets specks of mass to 0 so that Newton's method need not carry them; keeps them where an observation would be left without. */
function clearDust(edges: Edges, mass: Float64Array): Float64Array<ArrayBuffer> {
  const cleared = mass.map((p) => (p < 1e-9 ? 0 : p))
  const sum = cleared.reduce((a, b) => a + b, 0)
  const scaled = cleared.map((p) => p / sum)
  return new Float64Array(Number.isFinite(logLikelihood(edges, cumulate(scaled))) ? scaled : mass)
}
