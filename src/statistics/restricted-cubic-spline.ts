import { CannotEstimate, dropMissing, type Maybe } from './shared.ts'

/** Quantiles at which Harrell places 4 knots. */
const PLACES = [0.05, 0.35, 0.65, 0.95] as const

/**
 * The curved terms of a restricted cubic spline with 4 knots at the 5, 35, 65 and 95 % quantiles: two columns that stand beside
 * the value itself, so that the fitted curve is linear outside the outer knots. Divided by the squared range of the knots, so
 * that the columns are on the value's own scale.
 *
 * Missing values have no place in a basis: they are an error here, for the caller to leave out.
 *
 * Source: Harrell (2015) Regression Modeling Strategies, section 2.4.5, equation 2.25.
 *
 * @throws CannotEstimate for missing values or where the knots are not 4 different values.
 */
export function restrictedCubicSpline(values: ArrayLike<Maybe>): {
  readonly knots: readonly number[]
  readonly columns: readonly [number[], number[]]
} {
  const { known, dropped } = dropMissing(values)
  if (dropped > 0) throw new CannotEstimate('restrictedCubicSpline', 'no missing values', `${dropped}`)
  const sorted = Float64Array.from(known).sort()
  const knots = PLACES.map((p) => quantileOf(sorted, p))
  if (sorted.length < 4 || new Set(knots).size < 4)
    throw new CannotEstimate('restrictedCubicSpline', '4 different knots', `${new Set(knots).size}`)
  const [a, b, c, d] = knots as [number, number, number, number]
  const cube = (x: number) => (x > 0 ? x * x * x : 0)
  const term = (knot: number) => (x: number) =>
    (cube(x - knot) - (cube(x - c) * (d - knot)) / (d - c) + (cube(x - d) * (c - knot)) / (d - c)) /
    (d - a) ** 2
  return { knots, columns: [known.map(term(a)), known.map(term(b))] }
}

/** Linear between order statistics (Hyndman and Fan type 7). */
function quantileOf(sorted: Float64Array, p: number): number {
  const place = (sorted.length - 1) * p
  const low = Math.floor(place)
  const lower = sorted[low] ?? Number.NaN
  const upper = sorted[Math.min(low + 1, sorted.length - 1)] ?? Number.NaN
  return lower + (place - low) * (upper - lower)
}
