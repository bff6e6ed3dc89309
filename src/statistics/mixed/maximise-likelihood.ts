import { hessianFromGradient } from '../hessian-from-gradient.ts'
import { quasiNewton } from '../quasi-newton.ts'
import {
  chain,
  type LevelShape,
  NO_LEVEL,
  parametersOf,
  relativeOf,
  startOf,
  unpack,
} from './covariance-parameters.ts'
import { symmetricEigen } from './dense-matrix.ts'
import type { Evaluation, Held, ProfiledDeviance } from './profiled-deviance.ts'
import { computedTogether } from './value-and-gradient.ts'

/** What the optimiser did, kept with the fit. `gradientNorm` is the largest absolute element, per Cholesky entry of the scaled columns. */
export interface MixedModelOptimiser {
  readonly optimiser: 'BFGS, then Newton'
  readonly start: readonly number[]
  readonly final: readonly number[]
  readonly startDeviance: number
  readonly finalDeviance: number
  readonly evaluations: number
  readonly gradientNorm: number
  readonly returnCode:
    | 'gradient zero'
    | 'precision of the likelihood reached'
    | 'iteration limit reached'
    | 'no descent found'
}

export interface LikelihoodMaximum {
  readonly theta: Float64Array
  readonly evaluation: Evaluation
  /** Second derivatives of the deviance by theta. */
  readonly hessian: Float64Array
  readonly converged: boolean
  readonly optimiser: MixedModelOptimiser
}

export interface Search {
  readonly deviance: ProfiledDeviance
  readonly inner: LevelShape
  /** NO_LEVEL with one level of grouping. */
  readonly outer: LevelShape
  readonly held?: Held
}

function evaluate({ deviance, inner, outer, held }: Search, theta: Float64Array): Evaluation | null {
  const low = unpack(inner, theta, 0)
  const high = unpack(outer, theta, parametersOf(inner))
  return deviance.at(relativeOf(low), relativeOf(high), held)
}

function gradientOf({ inner, outer }: Search, theta: Float64Array, evaluation: Evaluation): Float64Array {
  const low = chain(inner, unpack(inner, theta, 0), evaluation.gradients[0])
  const high = chain(outer, unpack(outer, theta, parametersOf(inner)), evaluation.gradients[1])
  return Float64Array.from([...low, ...high])
}

const largest = (xs: Float64Array): number => xs.reduce((most, x) => Math.max(most, Math.abs(x)), 0)

/** The minimum of the profiled deviance, polished by Newton steps; null where the likelihood cannot be computed at the start. */
export function maximiseLikelihood(search: Search, from?: Float64Array): LikelihoodMaximum | null {
  const before = search.deviance.evaluations
  const start = from ?? Float64Array.from([...startOf(search.inner), ...startOf(search.outer ?? NO_LEVEL)])
  const first = evaluate(search, start)
  if (first === null) return null
  const f = computedTogether((theta) => {
    const e = evaluate(search, theta)
    if (e === null) return { value: Infinity, gradient: new Float64Array(theta.length) }
    return { value: e.deviance, gradient: gradientOf(search, theta, e) }
  })
  let found = quasiNewton(f, start, { tolerance: 1e-3, maximumIterations: 500 })
  let polished = polish(search, found.x)
  const small = 1e-5 * Math.max(1, Math.sqrt(Math.abs(polished.evaluation.deviance)) * 1e-2)
  // Curved valleys towards the boundary may take more than one round.
  for (let round = 0; round < 4 && largest(polished.gradient) >= small; round++) {
    found = quasiNewton(f, polished.theta, { tolerance: 1e-9, maximumIterations: 500 })
    polished = polish(search, found.x)
  }
  const { theta, evaluation, gradient } = polished
  const returnCode =
    largest(gradient) < small ? 'gradient zero' : codeOf(found.record.message, largest(gradient))
  return {
    theta,
    evaluation,
    hessian: polished.hessian,
    converged: returnCode === 'gradient zero' || returnCode === 'precision of the likelihood reached',
    optimiser: {
      optimiser: 'BFGS, then Newton',
      start: Array.from(start),
      final: Array.from(theta),
      startDeviance: first.deviance,
      finalDeviance: evaluation.deviance,
      evaluations: search.deviance.evaluations - before,
      gradientNorm: largest(gradient),
      returnCode,
    },
  }
}

/** A gradient far from zero is not convergence, whatever the search thinks of its own steps. */
function codeOf(message: string, gradient: number): MixedModelOptimiser['returnCode'] {
  if (message.startsWith('converged') && gradient < 1e-3) return 'precision of the likelihood reached'
  return message.startsWith('iteration') ? 'iteration limit reached' : 'no descent found'
}

interface Polished {
  readonly theta: Float64Array
  readonly evaluation: Evaluation
  readonly gradient: Float64Array
  readonly hessian: Float64Array
}

interface Place {
  readonly theta: Float64Array
  readonly evaluation: Evaluation
  readonly gradient: Float64Array
}

function placeAt(search: Search, theta: Float64Array): Place | null {
  const evaluation = evaluate(search, theta)
  return evaluation === null ? null : { theta, evaluation, gradient: gradientOf(search, theta, evaluation) }
}

/** The first of ever shorter steps that lowers the deviance, or, within its rounding, the gradient; null where none does. */
function betterPlace(search: Search, from: Place, step: Float64Array, halvings: number): Place | null {
  const rounding = 1e-12 * Math.max(1, Math.abs(from.evaluation.deviance))
  for (let i = 0, length = 1; i <= halvings; i++, length /= 2) {
    const there = placeAt(
      search,
      from.theta.map((x, j) => x - length * step[j]!),
    )
    if (there === null) continue
    const change = there.evaluation.deviance - from.evaluation.deviance
    if (change < -rounding) return there
    if (change <= 100 * rounding && largest(there.gradient) < largest(from.gradient)) return there
  }
  return null
}

/** Newton steps; the second derivatives are computed anew only where the last ones no longer serve. */
function polish(search: Search, from: Float64Array): Polished {
  let here = placeAt(search, from)!
  let hessian = hessianAt(search, from)
  let moved = 0
  for (let i = 0; i < 60; i++) {
    const step = newtonStep(hessian, here.gradient)
    const next = betterPlace(search, here, step, moved === 0 ? 10 : 0)
    if (next === null && moved === 0) break
    if (next !== null) {
      const slow = largest(next.gradient) > 0.01 * largest(here.gradient)
      here = next
      moved += largest(step)
      if (largest(step) < 1e-8) break
      if (!slow) continue
    }
    hessian = hessianAt(search, here.theta)
    moved = 0
  }
  const theta = settleOnBoundary(search, here.theta)
  // Second derivatives a step away are good enough where each costs a pass over many groups.
  if (moved > (search.deviance.sums.nGroups > 5000 ? 1e-3 : 1e-8)) hessian = hessianAt(search, theta)
  return { ...placeAt(search, theta)!, hessian }
}

/** Entries that are only rounding away from the boundary are set on it, if the likelihood agrees. */
function settleOnBoundary(search: Search, theta: Float64Array): Float64Array {
  let settled = theta
  for (let j = 0; j < theta.length; j++) {
    if (Math.abs(theta[j]!) > 1e-3 || theta[j] === 0) continue
    const trial = settled.slice()
    trial[j] = 0
    const now = evaluate(search, settled)!
    const there = evaluate(search, trial)
    if (there !== null && there.deviance <= now.deviance + 1e-11 * Math.abs(now.deviance)) settled = trial
  }
  return settled
}

const hessianAt = (search: Search, theta: Float64Array): Float64Array =>
  hessianFromGradient(
    (x) => {
      const e = evaluate(search, x)
      return e === null ? new Float64Array(x.length) : gradientOf(search, x, e)
    },
    theta,
    (value) => 1e-5 * Math.max(1, Math.abs(value)),
  )

/** Newton's step with the curvature's sign made positive and flat directions left alone. */
export function newtonStep(hessian: Float64Array, gradient: Float64Array): Float64Array {
  const k = gradient.length
  const { values, vectors } = symmetricEigen(hessian, k)
  const most = values.reduce((m, v) => Math.max(m, Math.abs(v)), 0)
  const step = new Float64Array(k)
  for (let j = 0; j < k; j++) {
    const curvature = Math.abs(values[j]!)
    if (!(curvature > 1e-10 * most)) continue
    let along = 0
    for (let i = 0; i < k; i++) along += vectors[i * k + j]! * gradient[i]!
    for (let i = 0; i < k; i++) step[i]! += (along / curvature) * vectors[i * k + j]!
  }
  return step
}
