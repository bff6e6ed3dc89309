import type { SmoothFunction } from '../quasi-newton.ts'

export interface ValueAndGradient {
  readonly value: number
  readonly gradient: Float64Array
}

/** A function whose value and gradient come of one computation, as the search takes it: the last point is remembered. */
export function computedTogether(f: (x: Float64Array) => ValueAndGradient): SmoothFunction {
  let lastX: Float64Array | null = null
  let last: ValueAndGradient | null = null
  const at = (x: Float64Array): ValueAndGradient => {
    if (last === null || x !== lastX) {
      last = f(x)
      lastX = x
    }
    return last
  }
  return { value: (x) => at(x).value, gradient: (x) => at(x).gradient }
}
