/** Small dense symmetric matrices, by rows in Float64Array: a dozen coefficients at most, so clarity goes before blocking. */

/** Lower Cholesky factor of a symmetric positive definite matrix (its upper triangle is read), or null. */
export function cholesky(matrix: Float64Array, n: number): Float64Array | null {
  const lower = new Float64Array(n * n)
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) {
      let sum = matrix[j * n + i]!
      for (let k = 0; k < j; k++) sum -= lower[i * n + k]! * lower[j * n + k]!
      if (i === j) {
        if (!(sum > 0)) return null
        lower[i * n + i] = Math.sqrt(sum)
      } else lower[i * n + j] = sum / lower[j * n + j]!
    }
  return lower
}

/** log det of L L'. */
export function logDeterminant(lower: Float64Array, n: number): number {
  let sum = 0
  for (let i = 0; i < n; i++) sum += Math.log(lower[i * n + i]!)
  return 2 * sum
}

/** (L L')^-1. */
export function inverseFromCholesky(lower: Float64Array, n: number): Float64Array {
  const inverse = new Float64Array(n * n)
  const unit = new Float64Array(n)
  for (let j = 0; j < n; j++) {
    unit.fill(0)
    unit[j] = 1
    inverse.set(solveCholesky(lower, unit, n), j * n)
  }
  return inverse
}

/** Solves L L' x = b. */
export function solveCholesky(lower: Float64Array, b: ArrayLike<number>, n: number): Float64Array {
  const x = Float64Array.from(b)
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) x[i]! -= lower[i * n + k]! * x[k]!
    x[i]! /= lower[i * n + i]!
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) x[i]! -= lower[k * n + i]! * x[k]!
    x[i]! /= lower[i * n + i]!
  }
  return x
}

/** The n x n identity. */
export function identity(n: number): Float64Array {
  const matrix = new Float64Array(n * n)
  for (let i = 0; i < n; i++) matrix[i * n + i] = 1
  return matrix
}

/** A B for an n x k and a k x m matrix. */
export function product(a: Float64Array, b: Float64Array, n: number, k: number, m: number): Float64Array {
  const out = new Float64Array(n * m)
  for (let i = 0; i < n; i++)
    for (let l = 0; l < k; l++) {
      const value = a[i * k + l]!
      for (let j = 0; j < m; j++) out[i * m + j]! += value * b[l * m + j]!
    }
  return out
}

/** T A T' for an n x n symmetric A and an n x n T. */
export function sandwich(t: Float64Array, a: Float64Array, n: number): Float64Array {
  const ta = product(t, a, n, n, n)
  const transposed = new Float64Array(n * n)
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) transposed[j * n + i] = t[i * n + j]!
  return product(ta, transposed, n, n, n)
}

export const toRows = (matrix: Float64Array, n: number): number[][] =>
  Array.from({ length: n }, (_, i) => Array.from(matrix.subarray(i * n, (i + 1) * n)))

/** Eigenvalues and eigenvectors (columns) of a symmetric matrix, by Jacobi rotations (Golub and Van Loan 2013, section 8.5). */
export function symmetricEigen(
  matrix: Float64Array,
  n: number,
): { readonly values: Float64Array; readonly vectors: Float64Array } {
  const a = matrix.slice()
  const v = new Float64Array(n * n)
  for (let i = 0; i < n; i++) v[i * n + i] = 1
  for (let sweep = 0; sweep < 60; sweep++) {
    let off = 0
    for (let i = 0; i < n; i++) for (let j = i + 1; j < n; j++) off += a[i * n + j]! ** 2
    if (off < 1e-300) break
    for (let p = 0; p < n; p++) for (let q = p + 1; q < n; q++) rotate(a, v, n, p, q)
  }
  return { values: Float64Array.from({ length: n }, (_, i) => a[i * n + i]!), vectors: v }
}

function rotate(a: Float64Array, v: Float64Array, n: number, p: number, q: number): void {
  const apq = a[p * n + q]!
  if (apq === 0) return
  const theta = (a[q * n + q]! - a[p * n + p]!) / (2 * apq)
  const t = (theta >= 0 ? 1 : -1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1))
  const c = 1 / Math.sqrt(t * t + 1)
  const s = t * c
  for (let k = 0; k < n; k++) {
    const akp = a[k * n + p]!
    const akq = a[k * n + q]!
    a[k * n + p] = c * akp - s * akq
    a[k * n + q] = s * akp + c * akq
  }
  for (let k = 0; k < n; k++) {
    const apk = a[p * n + k]!
    const aqk = a[q * n + k]!
    a[p * n + k] = c * apk - s * aqk
    a[q * n + k] = s * apk + c * aqk
    const vkp = v[k * n + p]!
    const vkq = v[k * n + q]!
    v[k * n + p] = c * vkp - s * vkq
    v[k * n + q] = s * vkp + c * vkq
  }
}
