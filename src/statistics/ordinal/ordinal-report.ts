import normal from '@stdlib/stats-base-dists-normal'
import type { Interval } from '../shared.ts'
import type { OrdinalModel } from './marginal-likelihood.ts'
import type { OrdinalMaximum, OrdinalOptimiser } from './ordinal-maximum.ts'

export interface OrdinalCoefficient {
  readonly name: string
  readonly estimate: number
  /** From the observed information; null where that is singular. */
  readonly se: number | null
  readonly interval: Interval
  readonly z: number | null
  readonly p: number | null
}

export interface OrdinalThreshold {
  /** The categories on either side, as '1|2'. */
  readonly name: string
  readonly estimate: number
  readonly se: number | null
}

export interface OrdinalFit {
  readonly link: 'logit' | 'probit'
  readonly levels: readonly (number | string)[]
  readonly thresholds: readonly OrdinalThreshold[]
  readonly coefficients: readonly OrdinalCoefficient[]
  readonly logLikelihood: number
  readonly nParameters: number
  readonly aic: number
  readonly nObservations: number
  readonly nDropped: number
  readonly converged: boolean
  readonly optimiser: OrdinalOptimiser
}

export function ordinalReport(
  model: OrdinalModel,
  maximum: OrdinalMaximum,
  { link, level }: { readonly link: 'logit' | 'probit'; readonly level: number },
): OrdinalFit {
  const { rows, thresholds } = model
  const { x, covariance } = maximum
  const k = x.length
  const r = thresholds.names.length
  const error = (weights: readonly number[], at: number): number | null => {
    if (covariance === null) return null
    let sum = 0
    weights.forEach((a, i) => {
      weights.forEach((b, j) => {
        sum += a * b * covariance[(at + i) * k + at + j]!
      })
    })
    return Math.sqrt(sum)
  }
  const reach = normal.quantile((1 + level) / 2, 0, 1)
  return {
    link,
    levels: rows.levels,
    thresholds: thresholds.matrix.map((weights, j) => ({
      name: `${rows.levels[j]}|${rows.levels[j + 1]}`,
      estimate: weights.reduce((sum, weight, i) => sum + weight * x[i]!, 0),
      se: error(weights, 0),
    })),
    coefficients: rows.names.map((name, j) => {
      const estimate = x[r + j]!
      const se = error([1], r + j)
      const z = se === null ? null : estimate / se
      return {
        name,
        estimate,
        se,
        interval: {
          lower: se === null ? null : estimate - reach * se,
          upper: se === null ? null : estimate + reach * se,
          level,
        },
        z,
        p: z === null ? null : 2 * normal.cdf(-Math.abs(z), 0, 1),
      }
    }),
    logLikelihood: maximum.logLikelihood,
    nParameters: k,
    aic: -2 * maximum.logLikelihood + 2 * k,
    nObservations: rows.category.length,
    nDropped: rows.nDropped,
    converged: maximum.converged,
    optimiser: maximum.optimiser,
  }
}

/** Thresholds of the model without predictors: quantiles of the cumulative shares. */
export function marginalThresholds({ rows, link }: OrdinalModel): number[] {
  const counts = new Array<number>(rows.levels.length).fill(0)
  for (const y of rows.category) counts[y]!++
  let below = 0
  return counts.slice(0, -1).map((count) => {
    below += count
    const share = below / rows.category.length
    return link.variance === 1 ? normal.quantile(share, 0, 1) : Math.log(share / (1 - share))
  })
}

/** Log likelihood of the model without predictors and free thresholds: sum of n_k log(n_k / n). */
export function nullLogLikelihood({ rows }: OrdinalModel): number {
  const counts = new Array<number>(rows.levels.length).fill(0)
  for (const y of rows.category) counts[y]!++
  return counts.reduce((sum, count) => sum + count * Math.log(count / rows.category.length), 0)
}
