import { hessianFromGradient } from '../hessian-from-gradient.ts'
import { cholesky, inverseFromCholesky, product, sandwich } from '../mixed/dense-matrix.ts'
import { newtonStep } from '../mixed/maximise-likelihood.ts'
import { computedTogether, type ValueAndGradient } from '../mixed/value-and-gradient.ts'
import { quasiNewton, type SmoothFunction, withNumericalGradient } from '../quasi-newton.ts'
import { marginalLikelihood, type OrdinalModel } from './marginal-likelihood.ts'
import { standardisedColumns } from './standardised-columns.ts'

/**
 * What the optimiser did. The gradient is of the log likelihood by threshold parameters, coefficients of standardised columns and
 * random standard deviation.
 */
export interface OrdinalOptimiser {
  readonly optimiser: 'BFGS, then Newton'
  readonly start: readonly number[]
  readonly final: readonly number[]
  readonly evaluations: number
  readonly gradientNorm: number
  readonly returnCode:
    | 'gradient zero'
    | 'precision of the likelihood reached'
    | 'not converged'
    | 'information singular'
}

export interface OrdinalMaximum {
  readonly x: Float64Array
  readonly logLikelihood: number
  /** Inverse observed information; null where it is not positive definite (a coefficient runs off, or a variance is 0). */
  readonly covariance: Float64Array | null
  readonly converged: boolean
  readonly optimiser: OrdinalOptimiser
}

const largest = (xs: Float64Array): number => xs.reduce((most, x) => Math.max(most, Math.abs(x)), 0)

/** With few nodes the quadrature's own error moves with the parameters, and only differences of it are its gradient. */
const FEW_NODES = 5

/** A step that promises a gain below this is under 1e-4 standard errors: the curvature, and so the errors, stay to five digits. */
const NEAR = 1e-8

/**
 * Searched on standardised columns, so that neither unit nor zero of a column has a say.
 *
 * @param inverse the search's first inverse Hessian by rows, where a model near this one has told it; that of the start unless given
 */
export function ordinalMaximum(
  given: OrdinalModel,
  start: readonly number[],
  inverse?: Float64Array,
): OrdinalMaximum {
  const k = start.length
  const { model, back, forth } = standardisedColumns(given, k)
  const found = standardisedMaximum(
    model,
    Array.from(product(forth, Float64Array.from(start), k, k, 1)),
    inverse && sandwich(forth, inverse, k),
  )
  const x = product(back, found.x, k, k, 1)
  return {
    ...found,
    x,
    covariance: found.covariance && sandwich(back, found.covariance, k),
    optimiser: { ...found.optimiser, start, final: Array.from(x) },
  }
}

function standardisedMaximum(
  model: OrdinalModel,
  start: readonly number[],
  inverse: Float64Array | undefined,
): OrdinalMaximum {
  let evaluations = 0
  const value = (x: Float64Array): number => {
    evaluations++
    return marginalLikelihood(model, x).value
  }
  const few = model.quadrature !== null && model.quadrature.nodes.length < FEW_NODES
  const smooth: SmoothFunction = few
    ? withNumericalGradient(value)
    : computedTogether((x) => {
        evaluations++
        return marginalLikelihood(model, x)
      })
  const f = (x: Float64Array): ValueAndGradient => ({ value: smooth.value(x), gradient: smooth.gradient(x) })
  const found = quasiNewton(smooth, start, {
    tolerance: 1e-9,
    maximumIterations: 400,
    inverse: inverse ?? inverted(hessianOf(f, Float64Array.from(start)), start.length) ?? undefined,
  })
  let x = found.x
  let here = f(x)
  let hessian = hessianOf(f, x)
  for (let i = 0; i < 8; i++) {
    const step = newtonStep(hessian, here.gradient)
    const gain = step.reduce((sum, move, j) => sum + move * here.gradient[j]!, 0) / 2
    const next = x.map((value, j) => value - step[j]!)
    const there = f(next)
    if (
      !(there.value <= here.value + 1e-9 * Math.abs(here.value)) ||
      largest(there.gradient) >= largest(here.gradient)
    )
      break
    x = next
    here = there
    if (largest(step) < 1e-8) break
    if (!(gain < NEAR)) hessian = hessianOf(f, x)
  }
  const covariance = inverted(hessian, x.length)
  const gradientNorm = largest(here.gradient)
  const settled = gradientNorm < (few ? 1e-3 : 1e-5) * Math.max(1, Math.sqrt(Math.abs(here.value)) / 10)
  const returnCode = settled
    ? covariance === null
      ? 'information singular'
      : 'gradient zero'
    : found.record.converged
      ? 'precision of the likelihood reached'
      : 'not converged'
  return {
    x,
    logLikelihood: -here.value,
    covariance,
    converged: returnCode === 'gradient zero' || returnCode === 'precision of the likelihood reached',
    optimiser: {
      optimiser: 'BFGS, then Newton',
      start,
      final: Array.from(x),
      evaluations,
      gradientNorm,
      returnCode,
    },
  }
}

/** Null where it is not positive definite. */
function inverted(hessian: Float64Array, k: number): Float64Array | null {
  const factor = cholesky(hessian, k)
  return factor === null ? null : inverseFromCholesky(factor, k)
}

const hessianOf = (f: (x: Float64Array) => ValueAndGradient, x: Float64Array): Float64Array =>
  hessianFromGradient(
    (moved) => f(moved).gradient,
    x,
    (value) => 1e-4 * Math.max(0.1, Math.abs(value)),
  )
