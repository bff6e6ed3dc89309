/** Mean by two passes, so that a large offset costs no digits. NaN of none. */
export function meanOf(xs: ArrayLike<number>): number {
  let sum = 0
  for (let i = 0; i < xs.length; i++) sum += xs[i]!
  const rough = sum / xs.length
  let rest = 0
  for (let i = 0; i < xs.length; i++) rest += xs[i]! - rough
  return rough + rest / xs.length
}

/** Sample variance with divisor n − 1, about the mean, corrected for its rounding. NaN of fewer than two. */
export function varianceOf(xs: ArrayLike<number>): number {
  const n = xs.length
  if (n < 2) return Number.NaN
  const mean = meanOf(xs)
  let squares = 0
  let rest = 0
  for (let i = 0; i < n; i++) {
    const d = xs[i]! - mean
    squares += d * d
    rest += d
  }
  return Math.max(0, squares - (rest * rest) / n) / (n - 1)
}

export const standardDeviationOf = (xs: ArrayLike<number>): number => Math.sqrt(varianceOf(xs))

/** Sample covariance with divisor n − 1. */
export function covarianceOf(xs: ArrayLike<number>, ys: ArrayLike<number>): number {
  const mx = meanOf(xs)
  const my = meanOf(ys)
  let sum = 0
  for (let i = 0; i < xs.length; i++) sum += (xs[i]! - mx) * (ys[i]! - my)
  return sum / (xs.length - 1)
}

/** Pearson correlation, held within −1 and 1 against rounding; null where either has no spread beyond rounding error. */
export function correlationOf(xs: ArrayLike<number>, ys: ArrayLike<number>): number | null {
  const sx = standardDeviationOf(xs)
  const sy = standardDeviationOf(ys)
  if (isNoSpread(sx, largestOf(xs)) || isNoSpread(sy, largestOf(ys))) return null
  return Math.min(1, Math.max(-1, covarianceOf(xs, ys) / sx / sy))
}

/** Largest absolute value; 0 of none. */
export function largestOf(xs: ArrayLike<number>): number {
  let largest = 0
  for (let i = 0; i < xs.length; i++) largest = Math.max(largest, Math.abs(xs[i]!))
  return largest
}

/**
 * True where a spread is rounding error only: values as large as `size` that all agree to 13 digits.
 * 0.3 − 0.2 and 0.2 − 0.1 are the same change.
 */
export const isNoSpread = (sd: number, size: number): boolean =>
  !(sd > 1e-13 * Math.max(size, Number.MIN_VALUE))
