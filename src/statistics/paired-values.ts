import { completePairs } from './dense-codes.ts'
import { CannotEstimate, type Maybe } from './shared.ts'

/**
 * The complete pairs of two series of the same things, and how many pairs a missing half cost.
 * @throws CannotEstimate where one series is longer than the other
 */
export function pairedValues(
  statistic: string,
  before: ArrayLike<Maybe>,
  after: ArrayLike<Maybe>,
): { readonly x: number[]; readonly y: number[]; readonly dropped: number } {
  if (before.length !== after.length)
    throw new CannotEstimate(
      statistic,
      'as many values in both halves of the pairs',
      `${before.length} and ${after.length}`,
    )
  return completePairs(before, after)
}
