/**
 * What the likelihood needs of the observations: sums per innermost group, so that a step of the search costs the number of
 * groups. W = [X y] has `width` columns; U has two random-effects columns (the second all 0 where there is one).
 */
export interface GroupSums {
  readonly n: number
  /** Columns of W: fixed effects, then y. */
  readonly width: number
  /** U'U per group: 3 numbers (11, 12, 22). */
  readonly uu: Float64Array
  /** U'W per group: 2 x width by rows. */
  readonly uw: Float64Array
  /** W'W over all rows, width x width. */
  readonly ww: Float64Array
  readonly nGroups: number
  /** Outer group of each innermost group; null with one level of grouping. */
  readonly outerOf: Int32Array | null
  readonly nOuter: number
}

/** Sums of columns of equal length by group code. */
export function groupSums(
  columns: readonly Float64Array[],
  random: readonly [Float64Array, Float64Array | null],
  codes: Int32Array,
  nGroups: number,
  outerOf: Int32Array | null,
  nOuter: number,
): GroupSums {
  const n = codes.length
  const width = columns.length
  const uu = new Float64Array(3 * nGroups)
  const uw = new Float64Array(2 * width * nGroups)
  const [u, v] = random
  for (let i = 0; i < n; i++) {
    const at = 3 * codes[i]!
    const a = u[i]!
    const b = v === null ? 0 : v[i]!
    uu[at]! += a * a
    uu[at + 1]! += a * b
    uu[at + 2]! += b * b
  }
  columns.forEach((column, k) => {
    for (let i = 0; i < n; i++) {
      const at = 2 * width * codes[i]! + k
      uw[at]! += u[i]! * column[i]!
      if (v !== null) uw[at + width]! += v[i]! * column[i]!
    }
  })
  const ww = new Float64Array(width * width)
  for (let a = 0; a < width; a++)
    for (let b = a; b < width; b++) {
      const sum = dot(columns[a]!, columns[b]!)
      ww[a * width + b] = sum
      ww[b * width + a] = sum
    }
  return { n, width, uu, uw, ww, nGroups, outerOf, nOuter }
}

export function dot(x: Float64Array, y: Float64Array): number {
  let sum = 0
  for (let i = 0; i < x.length; i++) sum += x[i]! * y[i]!
  return sum
}
