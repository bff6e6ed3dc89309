import { CannotEstimate, checkLevel } from '../shared.ts'
import { type ClusterRobust, clusterRobust } from './cluster-robust.ts'
import type { CumulativeLinkOptions } from './cumulative-link-model.ts'
import { gaussHermite } from './gauss-hermite.ts'
import { emptyCell, LINKS } from './links.ts'
import { type OrdinalModel, pointOf, posteriorMode } from './marginal-likelihood.ts'
import { type Category, type OrdinalData, ordinalRows } from './ordinal-data.ts'
import { ordinalMaximum } from './ordinal-maximum.ts'
import { marginalThresholds, type OrdinalFit, ordinalReport } from './ordinal-report.ts'
import { thresholdMap } from './thresholds.ts'

export interface CumulativeLinkMixedOptions extends CumulativeLinkOptions {
  /** Points of the adaptive Gauss–Hermite quadrature; 1 is Laplace's approximation. 15 unless given. */
  readonly nodes?: number
}

export interface CumulativeLinkMixedModel extends OrdinalFit {
  readonly method: 'cumulative link mixed model'
  readonly nodes: number
  readonly nGroups: number
  readonly randomSd: number
  /** Standard error of log randomSd; null where randomSd is 0 or the information singular. */
  readonly logRandomSdError: number | null
  /** Share of the latent variance that is between groups. */
  readonly latentIntraclassCorrelation: number
  /** True where the random standard deviation is 0 at the estimate. */
  readonly singular: boolean
  readonly labels: readonly (number | string)[]
  /** Modes of each group's random effect given its categories, on the latent scale, and their variances (inverse curvature). */
  readonly conditionalModes: Float64Array
  readonly conditionalModeVariances: Float64Array
  /** Null without clusters. */
  readonly robust: ClusterRobust | null
}

export interface CumulativeLinkMixedData extends OrdinalData {
  readonly groups: ArrayLike<Category>
  /** Cluster of each row, where the coefficients' covariance shall hold whatever ties the groups of a cluster together. */
  readonly clusters?: ArrayLike<Category>
}

/**
 * Cumulative link model with a normal random intercept, P(Y <= j | u) = F(threshold_j - x'beta - u), u ~ N(0, sd²), by marginal
 * maximum likelihood with adaptive Gauss–Hermite quadrature; standard errors from the observed information.
 *
 * A row with anything missing, its group included, is dropped and counted.
 *
 * Source: Christensen (2018) Cumulative Link Models for Ordinal Regression with the R Package ordinal; Hedeker and Gibbons
 * (1994) Biometrics 50:933-944; Pinheiro and Bates (1995) J Comp Graph Stat 4:12-35.
 *
 * @throws CannotEstimate as cumulativeLinkModel, with fewer than two groups, and as {@link clusterRobust} where clusters are given
 */
export function cumulativeLinkMixedModel(
  data: CumulativeLinkMixedData,
  options: CumulativeLinkMixedOptions = {},
): CumulativeLinkMixedModel {
  const name = 'cumulativeLinkMixedModel'
  const { link = 'logit', level = 0.95, nodes = 15 } = options
  checkLevel(name, level)
  if (!(Number.isInteger(nodes) && nodes >= 1 && nodes <= 101))
    throw new CannotEstimate(name, '1 to 101 quadrature nodes', String(nodes))
  const rows = ordinalRows(name, data, data.groups, options.levels)
  const nGroups = rows.labels.length
  if (nGroups < 2) throw new CannotEstimate(name, 'two groups', String(nGroups))
  const thresholds = thresholdMap(options.thresholds ?? 'flexible', rows.levels.length - 1)
  const model = { rows, link: LINKS[link], thresholds, quadrature: gaussHermite(nodes) }
  const nParameters = thresholds.names.length + rows.names.length + 1
  if (rows.category.length <= nParameters)
    throw new CannotEstimate(
      name,
      `more rows than its ${nParameters} parameters`,
      String(rows.category.length),
    )
  // The fit without random effects is where the search begins.
  const fixedStart = [...thresholds.from(marginalThresholds(model)), ...rows.names.map(() => 0)]
  const fixedFit = ordinalMaximum({ ...model, quadrature: null }, fixedStart)
  const maximum = ordinalMaximum(
    model,
    [...fixedFit.x, 0.7],
    fixedFit.covariance === null ? undefined : withSd(fixedFit.covariance, nParameters),
  )
  const sd = Math.abs(maximum.x[nParameters - 1]!)
  const singular = sd < 1e-3
  const { covariance } = maximum
  const variance = sd * sd
  return {
    method: 'cumulative link mixed model',
    ...ordinalReport(model, maximum, { link, level }),
    nodes,
    nGroups,
    randomSd: sd,
    logRandomSdError:
      covariance === null || singular ? null : Math.sqrt(covariance[nParameters ** 2 - 1]!) / sd,
    latentIntraclassCorrelation: variance / (variance + model.link.variance),
    singular,
    labels: rows.labels,
    ...modes(model, maximum.x),
    robust:
      data.clusters === undefined ? null : clusterRobust(name, model, maximum, data.groups, data.clusters),
  }
}

/** The covariance of the fit without random effects, with room for their standard deviation. */
function withSd(covariance: Float64Array, k: number): Float64Array {
  const wide = new Float64Array(k * k)
  for (let i = 0; i < k - 1; i++) wide.set(covariance.subarray(i * (k - 1), (i + 1) * (k - 1)), i * k)
  wide[k * k - 1] = 0.05
  return wide
}

function modes(model: OrdinalModel, x: Float64Array) {
  const point = pointOf(model, x)
  const { groupStart, labels } = model.rows
  const cell = emptyCell()
  const conditionalModes = new Float64Array(labels.length)
  const conditionalModeVariances = new Float64Array(labels.length)
  for (let g = 0; g < labels.length; g++) {
    const { mode, curvature } = posteriorMode(
      model.rows,
      model.link,
      point,
      groupStart[g]!,
      groupStart[g + 1]!,
      cell,
    )
    conditionalModes[g] = point.sd * mode
    conditionalModeVariances[g] = point.sd ** 2 / curvature
  }
  return { conditionalModes, conditionalModeVariances }
}
