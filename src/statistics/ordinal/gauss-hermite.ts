import { symmetricEigen } from '../mixed/dense-matrix.ts'

/** Nodes and weights against the standard normal density: sum of weights f(nodes) = E f(Z) for polynomials below degree 2n. */
export interface GaussHermite {
  readonly nodes: Float64Array
  readonly weights: Float64Array
}

/**
 * Gauss–Hermite quadrature against the standard normal density. Nodes are the eigenvalues of the Jacobi matrix (Golub and Welsch
 * 1969, Math Comp 23:221-230), weights 1 / sum of squared orthonormal Hermite polynomials, which keeps small ones accurate.
 */
export function gaussHermite(n: number): GaussHermite {
  const jacobi = new Float64Array(n * n)
  for (let k = 1; k < n; k++) {
    jacobi[k * n + k - 1] = Math.sqrt(k)
    jacobi[(k - 1) * n + k] = Math.sqrt(k)
  }
  const nodes = symmetricEigen(jacobi, n).values.sort()
  if (n % 2 === 1) nodes[(n - 1) / 2] = 0
  const weights = nodes.map((x) => {
    let before = 0
    let now = 1
    let sum = 1
    for (let k = 1; k < n; k++) {
      const next = (x * now - Math.sqrt(k - 1) * before) / Math.sqrt(k)
      before = now
      now = next
      sum += now * now
    }
    return 1 / sum
  })
  return { nodes, weights }
}
