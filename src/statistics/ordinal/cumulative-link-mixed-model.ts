import { CannotEstimate, checkLevel } from '../shared.ts'
import { type ClusterRobust, clusterRobust } from './cluster-robust.ts'
import type { CumulativeLinkOptions } from './cumulative-link-model.ts'
import { gaussHermite } from './gauss-hermite.ts'
import { emptyCell, LINKS } from './links.ts'
import { type OrdinalModel, pointOf, posteriorMode } from './marginal-likelihood.ts'
import { type Category, type OrdinalData, ordinalRows } from './ordinal-data.ts'
import { type OrdinalMaximum, ordinalMaximum } from './ordinal-maximum.ts'
import { marginalThresholds, type OrdinalFit, ordinalReport } from './ordinal-report.ts'
import { thresholdMap } from './thresholds.ts'

export interface CumulativeLinkMixedOptions extends CumulativeLinkOptions {
  /**
   * Points of the adaptive Gauss–Hermite quadrature; 1 is Laplace's approximation. Of several numbers the first with which the search
   * settles: where groups differ much (a standard deviation of 3 or more on the latent scale) the error of few points moves with the
   * coefficients and leads the search astray. 15, 31, 61 unless given.
   */
  readonly nodes?: number | readonly number[]
}

export interface CumulativeLinkMixedModel extends OrdinalFit {
  readonly method: 'cumulative link mixed model'
  /** Points of the quadrature that the estimates are of. */
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
  const { link = 'logit', level = 0.95 } = options
  checkLevel(name, level)
  const tried = nodesOf(name, options.nodes ?? NODES)
  const rows = ordinalRows(name, data, data.groups, options.levels)
  const nGroups = rows.labels.length
  if (nGroups < 2) throw new CannotEstimate(name, 'two groups', String(nGroups))
  const thresholds = thresholdMap(options.thresholds ?? 'flexible', rows.levels.length - 1)
  const plain = { rows, link: LINKS[link], thresholds, quadrature: null }
  const nParameters = thresholds.names.length + rows.names.length + 1
  if (rows.category.length <= nParameters)
    throw new CannotEstimate(
      name,
      `more rows than its ${nParameters} parameters`,
      String(rows.category.length),
    )
  // The fit without random effects is where the search begins.
  const fixedStart = [...thresholds.from(marginalThresholds(plain)), ...rows.names.map(() => 0)]
  const { model, maximum } = settledMaximum(plain, ordinalMaximum(plain, fixedStart), tried)
  const sd = Math.abs(maximum.x[nParameters - 1]!)
  const singular = sd < 1e-3
  const { covariance } = maximum
  const variance = sd * sd
  return {
    method: 'cumulative link mixed model',
    ...ordinalReport(model, maximum, { link, level }),
    nodes: model.quadrature.nodes.length,
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

const NODES: readonly number[] = [15, 31, 61]

function nodesOf(name: string, given: number | readonly number[]): readonly number[] {
  const tried = typeof given === 'number' ? [given] : given
  const wrong = tried.find((nodes) => !(Number.isInteger(nodes) && nodes >= 1 && nodes <= 101))
  if (wrong !== undefined || tried.length === 0)
    throw new CannotEstimate(name, '1 to 101 quadrature nodes', String(wrong ?? 'none'))
  return tried
}

/** The maximum with the first number of nodes that the search settles with, or with the last. */
function settledMaximum(plain: OrdinalModel, fixedFit: OrdinalMaximum, tried: readonly number[]) {
  const start = [...fixedFit.x, 0.7]
  const inverse = fixedFit.covariance === null ? undefined : withSd(fixedFit.covariance, start.length)
  const fitWith = (nodes: number) => {
    const model = { ...plain, quadrature: gaussHermite(nodes) }
    return { model, maximum: ordinalMaximum(model, start, inverse) }
  }
  let fit = fitWith(tried[0]!)
  for (const nodes of tried.slice(1)) {
    const { returnCode } = fit.maximum.optimiser
    if (returnCode === 'gradient zero' || returnCode === 'information singular') break
    fit = fitWith(nodes)
  }
  return fit
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
