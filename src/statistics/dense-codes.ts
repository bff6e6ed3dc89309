import { isKnown, type Maybe } from './shared.ts'

/**
 * Whole numbers 0, 1, 2, ... in the order of the values, equal where the values differ by rounding error only: by at most
 * 1e-12 of `scale` (the largest value in size unless given). 0.1 + 0.2 ties with 0.3. Values may be infinite.
 */
export function denseCodes(values: readonly number[], scale?: number): Int32Array {
  const largest =
    scale ?? values.reduce((most, v) => (Number.isFinite(v) ? Math.max(most, Math.abs(v)) : most), 0)
  const tolerance = 1e-12 * largest
  const order = Array.from(values.keys()).sort((a, b) => values[a]! - values[b]! || 0)
  const codes = new Int32Array(values.length)
  let code = 0
  order.forEach((index, place) => {
    const before = place === 0 ? undefined : values[order[place - 1]!]!
    if (before !== undefined && values[index]! !== before && !(values[index]! - before <= tolerance)) code++
    codes[index] = code
  })
  return codes
}

/** Pairs with both halves known, in order, and how many rows were dropped. */
export function completePairs(
  x: ArrayLike<Maybe>,
  y: ArrayLike<Maybe>,
): { readonly x: number[]; readonly y: number[]; readonly dropped: number } {
  const keptX: number[] = []
  const keptY: number[] = []
  for (let i = 0; i < x.length; i++) {
    const a = x[i]
    const b = y[i]
    if (!isKnown(a) || !isKnown(b)) continue
    keptX.push(a)
    keptY.push(b)
  }
  return { x: keptX, y: keptY, dropped: x.length - keptX.length }
}

/** The sizes of the groups of equal codes. */
export function tieSizes(codes: Int32Array): number[] {
  const sizes: number[] = []
  for (const code of codes) sizes[code] = (sizes[code] ?? 0) + 1
  return sizes
}

/** Codes of the values turned upside down, again from 0. */
export function reversedCodes(codes: Int32Array): Int32Array {
  const largest = codes.reduce((most, code) => Math.max(most, code), 0)
  return codes.map((code) => largest - code)
}
