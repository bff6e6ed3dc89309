import { describe, expect, it } from 'vitest'
import { quasiNewton, withNumericalGradient } from '../../src/statistics/quasi-newton.ts'

/** Rosenbrock (1960): minimum 0 at (1, 1), at the end of a curved valley. */
const rosenbrock = {
  value: (x: Float64Array) => 100 * (x[1]! - x[0]! ** 2) ** 2 + (1 - x[0]!) ** 2,
  gradient: (x: Float64Array) =>
    Float64Array.of(-400 * x[0]! * (x[1]! - x[0]! ** 2) - 2 * (1 - x[0]!), 200 * (x[1]! - x[0]! ** 2)),
}

describe('the BFGS search', () => {
  it('finds the end of Rosenbrock’s valley', () => {
    const found = quasiNewton(rosenbrock, [-1.2, 1], { tolerance: 1e-14 })
    expect(found.record.converged).toBe(true)
    expect(found.x[0]).toBeCloseTo(1, 6)
    expect(found.x[1]).toBeCloseTo(1, 6)
    expect(found.record.evaluations).toBeLessThan(100)
  })

  it('does so with a numerical gradient too', () => {
    const found = quasiNewton(withNumericalGradient(rosenbrock.value), [-1.2, 1], { tolerance: 1e-12 })
    expect(found.x[0]).toBeCloseTo(1, 4)
    expect(found.x[1]).toBeCloseTo(1, 4)
  })

  it('keeps to where the function is finite, and says when it ran out of steps', () => {
    const log = {
      value: (x: Float64Array) => (x[0]! > 0 ? x[0]! - Math.log(x[0]!) : Infinity),
      gradient: (x: Float64Array) => Float64Array.of(1 - 1 / x[0]!),
    }
    expect(quasiNewton(log, [8]).x[0]).toBeCloseTo(1, 3)
    const short = quasiNewton(rosenbrock, [-1.2, 1], { maximumIterations: 2 })
    expect(short.record).toMatchObject({
      converged: false,
      iterations: 2,
      message: 'iteration limit reached',
    })
  })
})
