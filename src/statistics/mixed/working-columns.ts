import { CannotEstimate } from '../shared.ts'
import { dot } from './group-sums.ts'

/**
 * Orthonormal columns Q and upper triangular R with X = Q R, and y less its least-squares fit: the search then meets neither
 * dates far from 0 nor outcomes far from 0, whose squares would cancel.
 */
export interface Orthonormal {
  readonly q: readonly Float64Array[]
  /** R^-1, p x p by rows: coefficients of X = R^-1 (coefficients of Q). */
  readonly rInverse: Float64Array
  readonly logDeterminantR: number
  /** y - Q Q'y. */
  readonly residual: Float64Array
  /** Q'y. */
  readonly fitted: Float64Array
}

/**
 * Gram-Schmidt, each column done twice (Björck 1996, Numerical Methods for Least Squares Problems, section 2.4.5).
 * @throws CannotEstimate naming the first column that depends on those before it
 */
export function orthonormalise(
  statistic: string,
  columns: readonly Float64Array[],
  names: readonly string[],
  y: Float64Array,
): Orthonormal {
  const p = columns.length
  const r = new Float64Array(p * p)
  const q: Float64Array[] = []
  columns.forEach((column, j) => {
    const work = column.slice()
    const size = Math.sqrt(dot(work, work))
    project(work, q, (i, value) => {
      r[i * p + j]! += value
    })
    const left = Math.sqrt(dot(work, work))
    if (!(left > 1e-9 * size))
      throw new CannotEstimate(
        statistic,
        'fixed effects that are not collinear',
        `${names[j]} determined by the others`,
      )
    r[j * p + j] = left
    for (let i = 0; i < work.length; i++) work[i]! /= left
    q.push(work)
  })
  const residual = y.slice()
  const fitted = new Float64Array(p)
  project(residual, q, (i, value) => {
    fitted[i]! += value
  })
  let logDeterminantR = 0
  for (let i = 0; i < p; i++) logDeterminantR += Math.log(r[i * p + i]!)
  return { q, rInverse: invertUpper(r, p), logDeterminantR, residual, fitted }
}

function project(
  work: Float64Array,
  q: readonly Float64Array[],
  told: (i: number, value: number) => void,
): void {
  for (let pass = 0; pass < 2; pass++)
    q.forEach((base, i) => {
      const value = dot(base, work)
      told(i, value)
      for (let k = 0; k < work.length; k++) work[k]! -= value * base[k]!
    })
}

export function invertUpper(r: Float64Array, p: number): Float64Array {
  const inverse = new Float64Array(p * p)
  for (let j = 0; j < p; j++) {
    inverse[j * p + j] = 1 / r[j * p + j]!
    for (let i = j - 1; i >= 0; i--) {
      let sum = 0
      for (let k = i + 1; k <= j; k++) sum += r[i * p + k]! * inverse[k * p + j]!
      inverse[i * p + j] = -sum / r[i * p + i]!
    }
  }
  return inverse
}

/** A random-effects column centred and scaled for the search: column = centre + scale * working. */
export interface Scaled {
  readonly working: Float64Array
  readonly centre: number
  readonly scale: number
}

export function scaleColumn(statistic: string, name: string, column: Float64Array, centred: boolean): Scaled {
  const n = column.length
  let mean = 0
  if (centred) {
    for (const value of column) mean += value
    mean /= n
  }
  let squares = 0
  for (const value of column) squares += (value - mean) ** 2
  const scale = Math.sqrt(squares / n)
  if (!(scale > 1e-13 * Math.abs(mean)))
    throw new CannotEstimate(
      statistic,
      `a random slope's column with two different values`,
      `${name} constant`,
    )
  const working = new Float64Array(n)
  for (let i = 0; i < n; i++) working[i] = (column[i]! - mean) / scale
  return { working, centre: mean, scale }
}
