import type { ClusterSums } from './cluster-jackknife.ts'
import { CannotEstimate } from './shared.ts'

/**
 * One cluster's information X' V^-1 X and score X' V^-1 r, for {@link clusterJackknife}.
 *
 * @param design rows of the fixed-effects design, n of p
 * @param residual y - X beta, n
 * @param covariance working covariance of the cluster's rows, n x n by rows; symmetric positive definite, and used up
 * @throws CannotEstimate where the covariance is not positive definite
 */
export function clusterSums(
  design: readonly (readonly number[])[],
  residual: readonly number[],
  covariance: Float64Array,
): ClusterSums {
  const n = design.length
  const p = design[0]!.length
  factorInPlace(covariance, n)
  // L^-1 X and L^-1 r, from which both products follow.
  const whitened = new Float64Array(n * (p + 1))
  for (let i = 0; i < n; i++) {
    const row = design[i]!
    for (let c = 0; c <= p; c++) {
      let sum = c < p ? row[c]! : residual[i]!
      for (let k = 0; k < i; k++) sum -= covariance[i * n + k]! * whitened[k * (p + 1) + c]!
      whitened[i * (p + 1) + c] = sum / covariance[i * n + i]!
    }
  }
  const information = new Float64Array(p * p)
  const score = new Float64Array(p)
  for (let i = 0; i < n; i++) {
    const at = i * (p + 1)
    for (let a = 0; a < p; a++) {
      const value = whitened[at + a]!
      score[a]! += value * whitened[at + p]!
      for (let b = 0; b < p; b++) information[a * p + b]! += value * whitened[at + b]!
    }
  }
  return { information, score }
}

/** Lower Cholesky factor of a symmetric positive definite matrix by rows, written over its lower triangle. */
function factorInPlace(matrix: Float64Array, n: number): void {
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * n + j]!
      for (let k = 0; k < j; k++) sum -= matrix[i * n + k]! * matrix[j * n + k]!
      if (i === j) {
        if (!(sum > 0))
          throw new CannotEstimate('clusterSums', 'a positive definite covariance', 'one that is not')
        matrix[i * n + i] = Math.sqrt(sum)
      } else matrix[i * n + j] = sum / matrix[j * n + j]!
    }
}
