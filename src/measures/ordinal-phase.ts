import { type CumulativeLinkRobust, cumulativeLinkRobust } from '../statistics/index.ts'
import type { PhaseDesign } from './phase-design.ts'
import type { PhaseRow } from './phase-rows.ts'
import { type SlopeEstimate, slopeEstimate } from './slope-estimate.ts'

/** The ordinal phase model: log odds of a higher score a month. Below 0 the fall is steeper after the start. */
export interface OrdinalPhase {
  readonly difference: SlopeEstimate
  readonly before: SlopeEstimate
  /** Scores in use, in points of the common scale; the mean of two raters goes to the nearest whole point, halves up. */
  readonly categories: readonly number[]
  readonly fit: CumulativeLinkRobust
}

/**
 * The cumulative-link mixed model with the linear model's terms, a random intercept per series and a covariance by client. It knows
 * that 0 is the lowest score there is, so a fall that stops at the floor is no slower fall to it.
 *
 * @throws CannotEstimate where fewer than two scores are in use or the rows do not determine the coefficients
 */
export function ordinalPhase(rows: readonly PhaseRow[], design: PhaseDesign, level: number): OrdinalPhase {
  const whole = rows.map((r) => Math.floor(r.score + 0.5))
  const categories = [...new Set(whole)].sort((a, b) => a - b)
  const clients = new Map<string, number>()
  const groupStart: number[] = []
  const clusterOf: number[] = []
  rows.forEach((row, i) => {
    if (!clients.has(row.client_id)) clients.set(row.client_id, clients.size)
    if (i > 0 && rows[i - 1]!.series === row.series) return
    groupStart.push(i)
    clusterOf.push(clients.get(row.client_id)!)
  })
  groupStart.push(rows.length)
  const p = design.terms.length - 1
  const fit = cumulativeLinkRobust(
    {
      category: whole.map((score) => categories.indexOf(score)),
      design: Float64Array.from(design.rows.flatMap((row) => row.slice(1))),
      groupStart,
      clusterOf,
      nClusters: clients.size,
    },
    categories.length,
  )
  const estimateOf = (term: number): SlopeEstimate =>
    slopeEstimate(
      fit.coefficients[term]!,
      Math.sqrt(fit.robustCovariance[term * p + term]!),
      fit.nClusters - p - 1,
      level,
    )
  return { difference: estimateOf(design.difference - 1), before: estimateOf(0), categories, fit }
}
