import { CannotEstimate, checkLevel } from '../shared.ts'
import { LINKS, type LinkName } from './links.ts'
import type { OrdinalModel } from './marginal-likelihood.ts'
import { type OrdinalData, ordinalRows } from './ordinal-data.ts'
import { ordinalMaximum } from './ordinal-maximum.ts'
import { marginalThresholds, nullLogLikelihood, type OrdinalFit, ordinalReport } from './ordinal-report.ts'
import { type ThresholdForm, thresholdMap } from './thresholds.ts'

export interface CumulativeLinkOptions {
  /** 'logit' (proportional odds) unless given. */
  readonly link?: LinkName
  /** 'flexible' unless given. */
  readonly thresholds?: ThresholdForm
  /** Order of the categories; by size where they are numbers. A level without observations is left out. */
  readonly levels?: readonly (number | string)[]
  /** Level of the Wald intervals, 0.95 unless given. */
  readonly level?: number
}

export interface CumulativeLinkModel extends OrdinalFit {
  readonly method: 'cumulative link model'
  /** Log likelihood with free thresholds and no predictor. */
  readonly nullLogLikelihood: number
}

/**
 * Cumulative link model P(Y <= j) = F(threshold_j - x'beta), F logistic or normal, by maximum likelihood with standard errors from
 * the observed information. A positive coefficient means higher categories.
 *
 * A row with anything missing is dropped and counted. Where categories are separated by a column the maximum is at infinity:
 * `converged` is then false, or the standard error is very large.
 *
 * Source: McCullagh (1980) J R Stat Soc B 42:109-142; Agresti (2010) Analysis of Ordinal Categorical Data, section 3.2.
 *
 * @throws CannotEstimate where columns differ in length, fewer than two categories or no more rows than parameters are there
 */
export function cumulativeLinkModel(
  data: OrdinalData,
  options: CumulativeLinkOptions = {},
): CumulativeLinkModel {
  const name = 'cumulativeLinkModel'
  const { link = 'logit', level = 0.95 } = options
  checkLevel(name, level)
  const rows = ordinalRows(name, data, null, options.levels)
  const thresholds = thresholdMap(options.thresholds ?? 'flexible', rows.levels.length - 1)
  const model: OrdinalModel = { rows, link: LINKS[link], thresholds, quadrature: null }
  const nParameters = thresholds.names.length + rows.names.length
  if (rows.category.length <= nParameters)
    throw new CannotEstimate(
      name,
      `more rows than its ${nParameters} parameters`,
      String(rows.category.length),
    )
  const start = [...thresholds.from(marginalThresholds(model)), ...rows.names.map(() => 0)]
  return {
    method: 'cumulative link model',
    ...ordinalReport(model, ordinalMaximum(model, start), { link, level }),
    nullLogLikelihood: nullLogLikelihood(model),
  }
}
