import chiSquare from '@stdlib/stats-base-dists-chisquare'
import { findRoot } from '../find-root.ts'
import type { Interval } from '../shared.ts'
import { maximiseLikelihood, type Search } from './maximise-likelihood.ts'
import { ProfiledDeviance } from './profiled-deviance.ts'
import type { Maximised } from './search-maximum.ts'

interface ProfileInput {
  readonly rInverse: Float64Array
  readonly fitted: Float64Array
  /** Standard errors, where the search for the limits begins. */
  readonly se: readonly number[]
  readonly level: number
}

/**
 * Profile-likelihood intervals of the coefficients: values at which the ML deviance, everything else at its best, is above its
 * minimum by less than the chi-square quantile with 1 degree of freedom. Always of the ML fit, as REML deviances with other
 * fixed effects cannot be compared.
 *
 * Source: Bates et al. (2015) J Stat Softw 67(1), section 5.1; Venzon and Moolgavkar (1988) Appl Stat 37:87-94.
 */
export function profileIntervals(found: Maximised, input: ProfileInput): Interval[] {
  const { search } = found
  const p = input.se.length
  const deviance = new ProfiledDeviance(search.deviance.sums, false)
  const base: Search = { deviance, inner: search.inner, outer: search.outer }
  const best = maximiseLikelihood(
    base,
    found.maximum.theta.map((t) => t || 0.05),
  )!
  const cut = chiSquare.quantile(input.level, 1)
  return Array.from({ length: p }, (_, j) => {
    const row = input.rInverse.slice(j * p, (j + 1) * p)
    let estimate = 0
    let offset = 0
    for (let i = 0; i < p; i++) {
      estimate += row[i]! * best.evaluation.beta[i]!
      offset += row[i]! * input.fitted[i]!
    }
    const excess = (value: number): number => {
      // On the boundary a search that starts there could not leave it.
      const start = best.theta.map((t) => (Math.abs(t) < 0.05 ? 0.05 : t))
      const at = maximiseLikelihood({ ...base, held: { row, value } }, start)!
      return at.evaluation.deviance - best.evaluation.deviance - cut
    }
    const limit = (sign: number): number => {
      let reach = 1.5 * input.se[j]! * Math.sqrt(cut / 2)
      while (excess(estimate + sign * reach) < 0) reach *= 1.7
      return findRoot((value) => excess(value), estimate, estimate + sign * reach)
    }
    const ends = [limit(-1), limit(1)]
    return { lower: offset + ends[0]!, upper: offset + ends[1]!, level: input.level }
  })
}
