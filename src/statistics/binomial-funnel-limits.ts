import binomial from '@stdlib/stats-base-dists-binomial'
import { CannotEstimate, checkLevel } from './shared.ts'

export interface BinomialFunnelLimits {
  readonly n: number
  readonly level: number
  /** As shares. `step` is the smallest count that reaches the tail, over n; `interpolated` is between counts. */
  readonly lowerStep: number
  readonly upperStep: number
  readonly lower: number
  readonly upper: number
}

/** Smallest count r whose distribution function reaches a probability, and how far past it. */
function limit(
  n: number,
  share: number,
  probability: number,
): { readonly step: number; readonly interpolated: number } {
  let r = 0
  while (r < n && binomial.cdf(r, n, share) < probability) r++
  const mass = binomial.pmf(r, n, share)
  const a = mass > 0 ? (binomial.cdf(r, n, share) - probability) / mass : 0
  return { step: r / n, interpolated: Math.min(1, Math.max(0, (r - a) / n)) }
}

/**
 * Exact binomial control limits of a share at a centre, for a funnel plot (Spiegelhalter 2005, Stat Med 24:1185–1202, appendix
 * A.1.1): the count is interpolated between the two at which the distribution function passes the tail.
 *
 * @param tails both tail probabilities; the two halves of 1 − level unless given
 * @throws CannotEstimate unless n is a whole number of 1 or more and 0 ≤ centre ≤ 1
 */
export function binomialFunnelLimits(
  n: number,
  centre: number,
  level: number,
  tails: readonly [number, number] = [(1 - level) / 2, (1 + level) / 2],
): BinomialFunnelLimits {
  checkLevel('binomialFunnelLimits', level)
  if (!(Number.isInteger(n) && n >= 1))
    throw new CannotEstimate('binomialFunnelLimits', 'a count of 1 or more', String(n))
  if (!(centre >= 0 && centre <= 1))
    throw new CannotEstimate('binomialFunnelLimits', 'a centre from 0 to 1', String(centre))
  const low = limit(n, centre, tails[0])
  const high = limit(n, centre, tails[1])
  return {
    n,
    level,
    lowerStep: low.step,
    upperStep: high.step,
    lower: low.interpolated,
    upper: high.interpolated,
  }
}
