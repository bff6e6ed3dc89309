import { CannotEstimate } from './shared.ts'

/** Lower Cholesky factor of a symmetric positive definite matrix, or null where a pivot is not positive. */
export function choleskyFactor(matrix: readonly (readonly number[])[]): number[][] | null {
  const n = matrix.length
  const factor = Array.from({ length: n }, () => new Array<number>(n).fill(0))
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i]![j]!
      for (let k = 0; k < j; k++) sum -= factor[i]![k]! * factor[j]![k]!
      if (i === j) {
        if (!(sum > 1e-13 * Math.abs(matrix[i]![i]!))) return null
        factor[i]![i] = Math.sqrt(sum)
      } else factor[i]![j] = sum / factor[j]![j]!
    }
  }
  return factor
}

/** Solves factor factor' x = right, the factor lower triangular. */
export function choleskySolve(factor: readonly (readonly number[])[], right: readonly number[]): number[] {
  const n = right.length
  const x = right.slice()
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) x[i]! -= factor[i]![k]! * x[k]!
    x[i]! /= factor[i]![i]!
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) x[i]! -= factor[k]![i]! * x[k]!
    x[i]! /= factor[i]![i]!
  }
  return x
}

/** v' M^-1 v for a symmetric positive definite M. Throws CannotEstimate, in the name of `statistic`, where M is singular. */
export function inverseQuadraticForm(
  statistic: string,
  matrix: readonly (readonly number[])[],
  vector: readonly number[],
): number {
  const factor = choleskyFactor(matrix)
  if (factor === null) throw new CannotEstimate(statistic, 'a covariance of full rank', 'a singular one')
  const solved = choleskySolve(factor, vector)
  return vector.reduce((sum, v, i) => sum + v * solved[i]!, 0)
}
