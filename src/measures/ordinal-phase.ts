import { type CumulativeLinkMixedModel, cumulativeLinkMixedModel } from '../statistics/index.ts'
import type { PhaseDesign } from './phase-design.ts'
import type { PhaseRow } from './phase-rows.ts'
import { type SlopeEstimate, slopeEstimate } from './slope-estimate.ts'

/** The ordinal phase model: log odds of a higher score a month. Below 0 the fall is steeper after the start. */
export interface OrdinalPhase {
  readonly difference: SlopeEstimate
  readonly before: SlopeEstimate
  /** Scores in use, in points of the common scale; the mean of two raters goes to the nearest whole point, halves up. */
  readonly categories: readonly number[]
  readonly fit: CumulativeLinkMixedModel
}

/** A slope of 9 nodes is that of 15 to three or four digits, in half the time; more only where the search does not settle with them. */
const QUADRATURE_NODES: readonly number[] = [9, 25, 61]

/**
 * The cumulative-link mixed model with the linear model's terms, a random intercept per series and a covariance by client. It knows
 * that 0 is the lowest score there is, so a fall that stops at the floor is no slower fall to it.
 *
 * @throws CannotEstimate where fewer than two scores are in use or the rows do not determine the coefficients
 */
export function ordinalPhase(rows: readonly PhaseRow[], design: PhaseDesign, level: number): OrdinalPhase {
  const score = rows.map((r) => Math.floor(r.score + 0.5))
  const terms = design.terms.slice(1)
  const fit = cumulativeLinkMixedModel(
    {
      category: score,
      fixed: Object.fromEntries(terms.map((term, j) => [term, design.rows.map((row) => row[j + 1]!)])),
      groups: rows.map((r) => r.series),
      clusters: rows.map((r) => r.client_id),
    },
    { nodes: QUADRATURE_NODES, level },
  )
  const { covariance, nClusters } = fit.robust!
  const p = terms.length
  const estimateOf = (term: number): SlopeEstimate =>
    slopeEstimate(
      fit.coefficients[term]!.estimate,
      Math.sqrt(covariance[term * p + term]!),
      nClusters - p - 1,
      level,
    )
  return {
    difference: estimateOf(design.difference - 1),
    before: estimateOf(0),
    categories: fit.levels.map(Number),
    fit,
  }
}
