import normal from '@stdlib/stats-base-dists-normal'
import { CannotEstimate, checkLevel, type Interval } from './shared.ts'

/** How far a disagreement counts: not at all, by its distance, by its square. */
export type KappaWeights = 'unweighted' | 'linear' | 'quadratic'

export interface Kappa {
  readonly method: string
  readonly weights: KappaWeights
  readonly n: number
  /** Weighted agreement seen, and that expected from the margins. */
  readonly observed: number
  readonly expected: number
  /** Null where chance alone would agree on everything. */
  readonly estimate: number | null
  /** Without assuming that kappa is 0, and assuming it. */
  readonly standardError: number | null
  readonly standardErrorNull: number | null
  /** Kappa ± z·SE, not cut at 1. */
  readonly interval: Interval
  /** Against kappa 0. */
  readonly z: number | null
}

const weight = (weights: KappaWeights, i: number, j: number, k: number): number => {
  if (weights === 'unweighted') return i === j ? 1 : 0
  const distance = Math.abs(i - j) / (k - 1)
  return 1 - (weights === 'linear' ? distance : distance * distance)
}

/** A square table of counts from two raters' categories, 0 to categories − 1. */
export function agreementTable(
  first: ArrayLike<number>,
  second: ArrayLike<number>,
  categories: number,
): number[][] {
  const table = Array.from({ length: categories }, () => Array.from({ length: categories }, () => 0))
  for (let i = 0; i < first.length; i++) table[first[i]!]![second[i]!]!++
  return table
}

/**
 * Cohen's kappa (1960, Educ Psychol Meas 20:37–46) and weighted kappa (1968, Psychol Bull 70:213–220) of a square table of counts,
 * with the standard errors of Fleiss, Cohen and Everitt (1969, Psychol Bull 72:323–327, equations 12 to 15; from memory). Every
 * category of the scale keeps its row and column, even where a rater never used it: the weights need the whole scale.
 *
 * @param table counts, rows the first rater, columns the second
 * @throws CannotEstimate unless the table is square with 2 categories or more and holds a count
 */
export function kappa(
  table: readonly (readonly number[])[],
  weights: KappaWeights,
  { level = 0.95 }: { readonly level?: number } = {},
): Kappa {
  checkLevel('kappa', level)
  const k = table.length
  if (k < 2 || table.some((row) => row.length !== k))
    throw new CannotEstimate('kappa', 'a square table of 2 categories or more', `${k} rows`)
  const n = table.flat().reduce((a, b) => a + b, 0)
  if (!(n > 0)) throw new CannotEstimate('kappa', 'a count', '0')
  const p = table.map((row) => row.map((count) => count / n))
  const rows = p.map((row) => row.reduce((a, b) => a + b, 0))
  const columns = p.map((_, j) => p.reduce((sum, row) => sum + row[j]!, 0))
  const w = p.map((row, i) => row.map((_, j) => weight(weights, i, j, k)))
  const sum = (of: (i: number, j: number) => number): number => {
    let total = 0
    for (let i = 0; i < k; i++) for (let j = 0; j < k; j++) total += of(i, j)
    return total
  }
  const observed = sum((i, j) => w[i]![j]! * p[i]![j]!)
  const expected = sum((i, j) => w[i]![j]! * rows[i]! * columns[j]!)
  const rowWeight = w.map((row) => row.reduce((total, x, j) => total + x * columns[j]!, 0))
  const columnWeight = w.map((_, j) => w.reduce((total, row, i) => total + row[j]! * rows[i]!, 0))
  const left = 1 - expected
  const estimate = left > 1e-15 ? (observed - expected) / left : null
  const base = { method: `${weights} kappa`, weights, n, observed, expected, estimate }
  if (estimate === null)
    return {
      ...base,
      standardError: null,
      standardErrorNull: null,
      interval: { lower: null, upper: null, level },
      z: null,
    }
  const square = sum(
    (i, j) => p[i]![j]! * (w[i]![j]! - (rowWeight[i]! + columnWeight[j]!) * (1 - estimate)) ** 2,
  )
  const offset = (estimate - expected * (1 - estimate)) ** 2
  const standardError = Math.sqrt(Math.max(0, square - offset) / n) / left
  const squareNull = sum(
    (i, j) => rows[i]! * columns[j]! * (w[i]![j]! - (rowWeight[i]! + columnWeight[j]!)) ** 2,
  )
  const standardErrorNull = Math.sqrt(Math.max(0, squareNull - expected ** 2) / n) / left
  const reach = normal.quantile((1 + level) / 2, 0, 1) * standardError
  return {
    ...base,
    standardError,
    standardErrorNull,
    interval: { lower: estimate - reach, upper: estimate + reach, level },
    z: standardErrorNull > 0 ? estimate / standardErrorNull : null,
  }
}
