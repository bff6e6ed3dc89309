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

/** A function and its gradient at a point; value Infinity where the point is not allowed. */
export type WithGradient = (x: Float64Array) => { readonly value: number; readonly gradient: Float64Array }

/** Central-difference gradient of a function, with steps fit for functions good to about 13 digits. */
export function withNumericalGradient(f: (x: Float64Array) => number): WithGradient {
  return (x) => {
    const gradient = new Float64Array(x.length)
    const moved = x.slice()
    for (let j = 0; j < x.length; j++) {
      const h = 6e-5 * Math.max(0.1, Math.abs(x[j]!))
      moved[j] = x[j]! + h
      const up = f(moved)
      moved[j] = x[j]! - h
      const down = f(moved)
      moved[j] = x[j]!
      gradient[j] = (up - down) / (2 * h)
    }
    return { value: f(x), gradient }
  }
}

const dot = (a: Float64Array, b: Float64Array): number => a.reduce((sum, value, i) => sum + value * b[i]!, 0)

/**
 * Minimum of a smooth function by the BFGS method with a backtracking line search (sufficient decrease 1e-4, curvature-safe update).
 * Converged where the decrease that the model promises falls under `tolerance` (1e-8), on the function's own scale.
 *
 * Source: Nocedal and Wright (2006) Numerical Optimization, algorithm 6.1, procedure 3.1.
 */
export function quasiNewton(
  f: WithGradient,
  start: ArrayLike<number>,
  options: { readonly tolerance?: number; readonly maximumIterations?: number } = {},
): Minimum {
  const n = start.length
  const tolerance = options.tolerance ?? 1e-8
  const limit = options.maximumIterations ?? 200
  let x = Float64Array.from(start)
  let here = f(x)
  let evaluations = 1
  const inverse = identity(n)
  let message = 'iteration limit reached'
  let iterations = 0
  for (; iterations < limit; iterations++) {
    const step = times(inverse, here.gradient, n).map((value) => -value)
    const slope = dot(step, here.gradient)
    if (-slope < tolerance) {
      message = 'converged'
      break
    }
    let length = iterations === 0 ? Math.min(1, 1 / Math.sqrt(dot(here.gradient, here.gradient))) : 1
    let next = x
    let there = here
    for (; length > 1e-10; length /= 2) {
      next = x.map((value, i) => value + length * step[i]!)
      there = f(next)
      evaluations++
      if (there.value <= here.value + 1e-4 * length * slope) break
    }
    if (!(length > 1e-10)) {
      message = -slope < 1e-4 ? 'converged to the precision of the function' : 'no descent found'
      break
    }
    update(
      inverse,
      next.map((value, i) => value - x[i]!),
      there.gradient.map((value, i) => value - here.gradient[i]!),
      n,
    )
    x = next
    here = there
  }
  return {
    x,
    value: here.value,
    record: {
      optimiser: 'BFGS',
      converged: message.startsWith('converged'),
      iterations,
      evaluations,
      gradient: here.gradient.reduce((largest, g) => Math.max(largest, Math.abs(g)), 0),
      message,
    },
  }
}

function identity(n: number): Float64Array {
  const matrix = new Float64Array(n * n)
  for (let i = 0; i < n; i++) matrix[i * n + i] = 1
  return matrix
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
