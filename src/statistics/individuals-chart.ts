import { describe } from './describe.ts'
import { meanOf } from './moments.ts'
import { CannotEstimate, dropMissing, type Maybe } from './shared.ts'

export interface Limits {
  readonly lower: number
  readonly upper: number
}

export interface IndividualsChart {
  readonly method: 'individuals and moving range (XmR)'
  readonly n: number
  readonly nDropped: number
  readonly centre: number
  readonly meanMovingRange: number
  readonly medianMovingRange: number
  /** Mean ± 2.66 mean moving range, as tables print it. */
  readonly limits: Limits
  /** Mean ± 3 sigma with sigma the mean moving range ÷ 1.128, and ÷ d2 = 2/√π in full. */
  readonly sigmaTable: number
  readonly limitsTable: Limits
  readonly sigmaExact: number
  readonly limitsExact: Limits
  /** Mean ± 3.145 median moving range: withstands a single far value. */
  readonly limitsMedian: Limits
  readonly rangeUpper: number
  /** Positions, from 1, strictly outside the 2.66 limits. */
  readonly beyond: readonly number[]
}

/**
 * Individuals chart of values in time order (Shewhart; constants of Wheeler and Chambers 1992, Understanding Statistical Process Control,
 * table A.1, from memory). Missing values are dropped and counted, so a range may span a gap.
 *
 * @throws CannotEstimate for fewer than 2 values
 */
export function individualsChart(values: ArrayLike<Maybe>): IndividualsChart {
  const { known, dropped } = dropMissing(values)
  if (known.length < 2) throw new CannotEstimate('individualsChart', 'two values', String(known.length))
  const ranges = known.slice(1).map((x, i) => Math.abs(x - known[i]!))
  const centre = meanOf(known)
  const mean = meanOf(ranges)
  const median = describe(ranges).median!
  const around = (reach: number): Limits => ({ lower: centre - reach, upper: centre + reach })
  const exact = 2 / Math.sqrt(Math.PI)
  const limits = around(2.66 * mean)
  return {
    method: 'individuals and moving range (XmR)',
    n: known.length,
    nDropped: dropped,
    centre,
    meanMovingRange: mean,
    medianMovingRange: median,
    limits,
    sigmaTable: mean / 1.128,
    limitsTable: around((3 * mean) / 1.128),
    sigmaExact: mean / exact,
    limitsExact: around((3 * mean) / exact),
    limitsMedian: around(3.145 * median),
    rangeUpper: 3.268 * mean,
    beyond: known.flatMap((x, i) => (x < limits.lower || x > limits.upper ? [i + 1] : [])),
  }
}
