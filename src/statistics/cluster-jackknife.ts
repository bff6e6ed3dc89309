import { CannotEstimate } from './shared.ts'

/** One cluster's share of a generalised least-squares fit, p the number of coefficients. */
export interface ClusterSums {
  /** X' V^-1 X of the cluster, p x p by rows. */
  readonly information: Float64Array
  /** X' V^-1 (y - X beta) of the cluster, p. */
  readonly score: Float64Array
}

export interface ClusterJackknife {
  readonly method: 'leave-one-cluster-out jackknife (CR3)'
  /** Covariance of the coefficients, p x p by rows. */
  readonly covariance: Float64Array
  readonly nClusters: number
}

/**
 * Covariance of generalised least-squares coefficients that holds whatever the errors within a cluster are like: the
 * jackknife that leaves out one cluster at a time, with the working covariance V held fixed.
 *
 * With A = sum A_i the information and s_i the score of cluster i, leaving out i moves the coefficients by
 * A^-1 (I - A_i A^-1)^-1 s_i, exactly; the covariance is (m - 1) / m times the sum of their squares. A little too large in small
 * samples rather than too small (Bell and McCaffrey 2002), which is why it is used where a difference must not be claimed lightly.
 *
 * Source: Bell and McCaffrey (2002) Survey Methodology 28:169-181 (CR3, from memory).
 *
 * @throws CannotEstimate for fewer than 2 clusters, a singular information, or a coefficient that one cluster alone determines.
 */
export function clusterJackknife(clusters: readonly ClusterSums[]): ClusterJackknife {
  const name = 'clusterJackknife'
  const m = clusters.length
  if (m < 2) throw new CannotEstimate(name, 'two clusters', String(m))
  const p = clusters[0]!.score.length
  const total = new Float64Array(p * p)
  for (const { information } of clusters) for (let i = 0; i < p * p; i++) total[i]! += information[i]!
  const inverse = invert(total, p)
  if (inverse === null) throw new CannotEstimate(name, 'an information of full rank', 'a singular one')
  const covariance = new Float64Array(p * p)
  for (const { information, score } of clusters) {
    // (A - A_i)^-1 s_i = A^-1 (I - A_i A^-1)^-1 s_i
    const rest = Float64Array.from(total, (value, i) => value - information[i]!)
    const restInverse = invert(rest, p)
    if (restInverse === null)
      throw new CannotEstimate(name, 'coefficients that no one cluster alone determines', 'one that does')
    const moved = multiply(restInverse, score, p)
    for (let i = 0; i < p; i++) for (let j = 0; j < p; j++) covariance[i * p + j]! += moved[i]! * moved[j]!
  }
  for (let i = 0; i < p * p; i++) covariance[i]! *= (m - 1) / m
  return { method: 'leave-one-cluster-out jackknife (CR3)', covariance, nClusters: m }
}

/** Product of a p x p matrix (by rows) and a vector. */
export function multiply(matrix: Float64Array, vector: ArrayLike<number>, p: number): Float64Array {
  const out = new Float64Array(p)
  for (let i = 0; i < p; i++) {
    let sum = 0
    for (let j = 0; j < p; j++) sum += matrix[i * p + j]! * vector[j]!
    out[i] = sum
  }
  return out
}

/** Inverse of a symmetric positive definite matrix by rows, scaled to unit diagonal first; null where it is singular. */
export function invert(matrix: Float64Array, p: number): Float64Array | null {
  const scale = new Float64Array(p)
  for (let i = 0; i < p; i++) {
    if (!(matrix[i * p + i]! > 0)) return null
    scale[i] = 1 / Math.sqrt(matrix[i * p + i]!)
  }
  const lower = new Float64Array(p * p)
  for (let i = 0; i < p; i++)
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * p + j]! * scale[i]! * scale[j]!
      for (let k = 0; k < j; k++) sum -= lower[i * p + k]! * lower[j * p + k]!
      if (i === j && !(sum > 1e-11)) return null
      lower[i * p + j] = i === j ? Math.sqrt(sum) : sum / lower[j * p + j]!
    }
  const inverse = new Float64Array(p * p)
  const column = new Float64Array(p)
  for (let c = 0; c < p; c++) {
    for (let i = 0; i < p; i++) {
      let sum = i === c ? 1 : 0
      for (let k = 0; k < i; k++) sum -= lower[i * p + k]! * column[k]!
      column[i] = sum / lower[i * p + i]!
    }
    for (let i = p - 1; i >= 0; i--) {
      let sum = column[i]!
      for (let k = i + 1; k < p; k++) sum -= lower[k * p + i]! * column[k]!
      column[i] = sum / lower[i * p + i]!
    }
    for (let i = 0; i < p; i++) inverse[i * p + c] = column[i]! * scale[i]! * scale[c]!
  }
  return inverse
}
