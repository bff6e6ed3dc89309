import { identity } from './mixed/dense-matrix.ts'

/** What an optimiser did: data, never only a console line. */
export interface OptimiserRecord {
  readonly optimiser: string
  readonly converged: boolean
  readonly iterations: number
  readonly evaluations: number
  /** Largest absolute element of the gradient at the end. */
  readonly gradient: number
  readonly message: string
}

export interface Minimum {
  readonly x: Float64Array
  readonly value: number
  readonly record: OptimiserRecord
}

/** A smooth function: its value (Infinity where the point is not allowed) and, where a step is taken, its gradient. */
export interface SmoothFunction {
  value(x: Float64Array): number
  gradient(x: Float64Array): Float64Array
}

/** Central-difference gradient of a function, with steps fit for functions good to about 13 digits. */
export function withNumericalGradient(f: (x: Float64Array) => number): SmoothFunction {
  const gradient = (x: Float64Array) => {
    const found = new Float64Array(x.length)
    const moved = x.slice()
    for (let j = 0; j < x.length; j++) {
      const h = 6e-5 * Math.max(0.1, Math.abs(x[j]!))
      moved[j] = x[j]! + h
      const up = f(moved)
      moved[j] = x[j]! - h
      const down = f(moved)
      moved[j] = x[j]!
      found[j] = (up - down) / (2 * h)
    }
    return found
  }
  return { value: f, gradient }
}

const dot = (a: Float64Array, b: Float64Array): number => a.reduce((sum, value, i) => sum + value * b[i]!, 0)

/**
 * Minimum of a smooth function by the BFGS method with a backtracking line search (sufficient decrease 1e-4, curvature-safe update).
 * Converged where the decrease that the model promises falls under `tolerance` (1e-8), on the function's own scale.
 *
 * Source: Nocedal and Wright (2006) Numerical Optimization, algorithm 6.1, procedure 3.1.
 */
export function quasiNewton(
  f: SmoothFunction,
  start: ArrayLike<number>,
  options: {
    readonly tolerance?: number
    readonly maximumIterations?: number
    /** First inverse Hessian, n x n by rows; the identity at the function's scale unless given. */
    readonly inverse?: Float64Array | undefined
  } = {},
): Minimum {
  const n = start.length
  const tolerance = options.tolerance ?? 1e-8
  const limit = options.maximumIterations ?? 200
  let x: Float64Array = Float64Array.from(start)
  let value = f.value(x)
  let gradient: Float64Array = f.gradient(x)
  let evaluations = 1
  const inverse = options.inverse?.slice() ?? identity(n)
  const scaled = options.inverse !== undefined
  let message = 'iteration limit reached'
  let iterations = 0
  for (; iterations < limit; iterations++) {
    const step = times(inverse, gradient, n).map((component) => -component)
    const slope = dot(step, gradient)
    if (-slope < tolerance) {
      message = 'converged'
      break
    }
    const first = iterations === 0 && !scaled ? Math.min(1, 1 / Math.sqrt(dot(gradient, gradient))) : 1
    const found = lineSearch(f, x, value, step, slope, first)
    evaluations += found.evaluations
    if (found.x === null) {
      message = -slope < 1e-4 ? 'converged to the precision of the function' : 'no descent found'
      break
    }
    const next = f.gradient(found.x)
    const moved = found.x.map((component, i) => component - x[i]!)
    const change = next.map((component, i) => component - gradient[i]!)
    if (iterations === 0 && !scaled) rescale(inverse, moved, change, n)
    update(inverse, moved, change, n)
    x = found.x
    value = found.value
    gradient = next
  }
  return {
    x,
    value,
    record: {
      optimiser: 'BFGS',
      converged: message.startsWith('converged'),
      iterations,
      evaluations,
      gradient: gradient.reduce((largest, g) => Math.max(largest, Math.abs(g)), 0),
      message,
    },
  }
}

/** Backtracking by quadratic interpolation until the decrease is sufficient; x null where none was found. */
function lineSearch(
  f: SmoothFunction,
  x: Float64Array,
  value: number,
  step: Float64Array,
  slope: number,
  first: number,
): { readonly x: Float64Array | null; readonly value: number; readonly evaluations: number } {
  let evaluations = 0
  for (let length = first; length > 1e-10; ) {
    const next = x.map((component, i) => component + length * step[i]!)
    const there = f.value(next)
    evaluations++
    if (there <= value + 1e-4 * length * slope) return { x: next, value: there, evaluations }
    const best = (-slope * length * length) / (2 * (there - value - slope * length))
    length *= Number.isFinite(there) ? Math.min(0.5, Math.max(0.1, best / length)) : 0.25
  }
  return { x: null, value, evaluations }
}

/** Brings the first inverse Hessian to the scale of the function (Nocedal and Wright, equation 6.20). */
function rescale(inverse: Float64Array, step: Float64Array, change: Float64Array, n: number): void {
  const curvature = dot(step, change)
  if (!(curvature > 0)) return
  for (let i = 0; i < n; i++) inverse[i * n + i] = curvature / dot(change, change)
}

const times = (matrix: Float64Array, vector: Float64Array, n: number): Float64Array =>
  vector.map((_, i) => vector.reduce((sum, value, j) => sum + matrix[i * n + j]! * value, 0))

/** BFGS update of the inverse Hessian in place; left alone where the curvature along the step is not positive. */
function update(inverse: Float64Array, step: Float64Array, change: Float64Array, n: number): void {
  const curvature = dot(step, change)
  if (!(curvature > 1e-12 * Math.sqrt(dot(step, step) * dot(change, change)))) return
  const moved = times(inverse, change, n)
  const factor = (1 + dot(change, moved) / curvature) / curvature
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++)
      inverse[i * n + j]! +=
        factor * step[i]! * step[j]! - (moved[i]! * step[j]! + step[i]! * moved[j]!) / curvature
}
