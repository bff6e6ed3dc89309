import binomial from '@stdlib/stats-base-dists-binomial'
import gamma from '@stdlib/stats-base-dists-gamma'
import type { Interval } from '../statistics/index.ts'

/** Exact central limits of a Poisson mean from its count. Garwood (1936) Biometrika 28:437-442, by gamma quantiles. */
export function exactPoissonLimits(events: number, level = 0.95): Interval {
  const tail = (1 - level) / 2
  return {
    lower: events === 0 ? 0 : gamma.quantile(tail, events, 1),
    upper: gamma.quantile(1 - tail, events + 1, 1),
    level,
  }
}

/** Smallest r with P(R <= r) > tail, moved back by the share of that step that oversteps the tail. */
function interpolatedCount(tail: number, n: number, p: number): number {
  let r = Math.max(0, Math.floor(binomial.quantile(tail, n, p)) - 1)
  while (r < n && binomial.cdf(r, n, p) <= tail) r++
  const here = binomial.cdf(r, n, p)
  const before = r === 0 ? 0 : binomial.cdf(r - 1, n, p)
  return r - (here - tail) / (here - before)
}

/**
 * Limits within which chance alone keeps the share of n, at a true share p: exact binomial quantiles, interpolated so that they fall
 * smoothly with n. Source: Spiegelhalter (2005) Stat Med 24:1185-1202, appendix A.1.1 (from memory).
 */
export function binomialShareLimits(n: number, p: number, level: number): Interval {
  const tail = (1 - level) / 2
  if (p <= 0 || p >= 1) return { lower: p, upper: p, level }
  const limit = (at: number) => Math.min(1, Math.max(0, interpolatedCount(at, n, p) / n))
  return { lower: limit(tail), upper: limit(1 - tail), level }
}
