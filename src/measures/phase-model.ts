import type { Records } from '../records/index.ts'
import { type NestedComponentsFit, nestedComponents, nestedLeastSquares } from '../statistics/index.ts'
import { type AsOf, clientsById } from './as-of.ts'
import { type OrdinalPhase, ordinalPhase } from './ordinal-phase.ts'
import { FEWEST_SERIES, type PhaseDesign, phaseDesign } from './phase-design.ts'
import { type PhaseRow, type PhaseRows, phaseRows } from './phase-rows.ts'
import {
  agreementOf,
  type ModelAgreement,
  type PhaseVerdict,
  sentenceOf,
  verdictOf,
} from './phase-verdict.ts'
import { POINTS_UNIT } from './points.ts'
import { type Computed, compute, type MeasureResult, measureResult, notComputed } from './result.ts'
import { allSeries } from './series.ts'
import { type SlopeEstimate, slopeEstimate } from './slope-estimate.ts'

export interface PhaseModelOptions extends AsOf {
  /** Occasions further from the start than this are left out: a fall does not go on for ever. 12 months unless given. */
  readonly windowMonths?: number
  readonly level?: number
}

/** The linear part: points of the common scale a month. */
export interface LinearPhase {
  readonly before: SlopeEstimate
  readonly after: SlopeEstimate
  /** after less before: the figure of interest. Below 0 the fall is steeper after the start. */
  readonly difference: SlopeEstimate
  readonly terms: readonly string[]
  readonly coefficients: readonly number[]
  readonly fit: NestedComponentsFit
  readonly allowsFor: readonly string[]
  readonly cannotAllowFor: readonly string[]
}

export interface PhaseModel extends MeasureResult {
  readonly seriesWithTwoBefore: number
  readonly linear: Computed<LinearPhase>
  readonly ordinal: Computed<OrdinalPhase>
  readonly agreement: Computed<ModelAgreement>
  readonly verdict: PhaseVerdict
  /** The verdict in a sentence for a page. */
  readonly sentence: string
}

const CONVENTION = `Months from the programme’s start (30.4375 days), occasions within the window around it, series past their usual age at the start. The figure is the slope after the start less the slope before, in ${POINTS_UNIT} a month; its interval leaves out one client at a time. A difference is reported only where the linear and the ordinal model both find it, in the same direction.`

/**
 * Phase model: whether scores fall faster after the programme's start than before it, beyond growing up.
 *
 * Linear mixed model with random intercepts and slopes of series within clients and a piecewise slope, and beside it a cumulative-link
 * mixed model of the same terms, since scores are ordinal with a floor. A plain two-slope model reports a programme where children
 * merely grow: see {@link phaseDesign} for the terms that keep it from doing so. Intervals of both come from leaving out, or
 * adding up by, whole clients, because neither model's own are wide enough when the other's assumptions fail.
 *
 * Where fewer than 10 series have two occasions on or before the start nothing is fitted: growing up and the programme cannot be told apart.
 * With ten series the interval is wide; what it can find takes many. An uncontrolled comparison in any case: an association.
 */
export function phaseModel(records: Records, options: PhaseModelOptions): PhaseModel {
  const series = allSeries(records, options)
  const data = phaseRows(series, clientsById(records), options.windowMonths ?? 12)
  const level = options.level ?? 0.95
  const refused = refusal(data)
  const design = refused === null ? phaseDesign(data) : null
  const linear: Computed<LinearPhase> =
    design === null ? refused! : compute('The phase model', () => linearPhase(data.rows, design, level))
  const ordinal: Computed<OrdinalPhase> =
    design === null
      ? refused!
      : compute('The ordinal phase model', () => ordinalPhase(data.rows, design, level))
  const agreement = agreementOf(linear, ordinal)
  const verdict = verdictOf(refused !== null, linear, ordinal)
  return {
    ...measureResult({
      measure: 'Slope before and after the programme’s start',
      asOf: options.asOf,
      unit: 'series',
      enrolled: series.length,
      n: data.series,
      exclusions: data.exclusions,
      method:
        'piecewise linear mixed model, random intercept and slope per series nested in client, with a cumulative-link mixed model beside it',
      convention: CONVENTION,
      assumptions: design?.cannotAllowFor ?? [],
      reading: 'association',
      readingNote:
        'An association: nothing was withheld from anyone, so what else changed at the start of the programme changed with it. It cannot be read as an effect of the programme.',
    }),
    seriesWithTwoBefore: data.withTwoBefore,
    linear,
    ordinal,
    agreement,
    verdict,
    sentence: sentenceOf(verdict, linear, ordinal, refused),
  }
}

/** The refusal of the design document, or null where the model may be fitted. */
function refusal(data: PhaseRows): ReturnType<typeof notComputed> | null {
  if (data.withTwoBefore >= FEWEST_SERIES) return null
  return notComputed(
    `Growing up and the programme cannot be told apart: ${data.withTwoBefore} series have two scores before the start, and ${FEWEST_SERIES} are needed.`,
  )
}

/**
 * The linear mixed model of slopes before and after the start: random intercept and slope of each client and each series, REML; standard
 * errors by leaving out one client at a time where that can be had, else the model's own.
 *
 * @param design columns for the same rows, from {@link phaseDesign}
 * @param level of the intervals, between 0 and 1
 * @returns slopes in the unit of the rows' scores, per month
 * @throws CannotEstimate where {@link nestedComponents} does
 */
export function linearPhase(rows: readonly PhaseRow[], design: PhaseDesign, level: number): LinearPhase {
  const nested = {
    design: design.rows,
    y: rows.map((r) => r.score),
    time: rows.map((r) => r.months),
    series: rows.map((r) => r.series),
    cluster: rows.map((r) => r.client_id),
  }
  const fit = nestedComponents(nested)
  const solved = nestedLeastSquares(nested, fit.components, { predictions: false })
  const p = design.terms.length
  const covariance = solved.jackknifeCovariance ?? solved.modelCovariance
  const contrast = (weights: readonly (readonly [number, number])[]): SlopeEstimate => {
    let estimate = 0
    let variance = 0
    for (const [i, w] of weights) {
      estimate += w * solved.coefficients[i]!
      for (const [j, v] of weights) variance += w * v * covariance[i * p + j]!
    }
    return slopeEstimate(estimate, Math.sqrt(variance), solved.nClusters - p, level)
  }
  return {
    before: contrast([[1, 1]]),
    after: contrast([
      [1, 1],
      [design.difference, 1],
    ]),
    difference: contrast([[design.difference, 1]]),
    terms: design.terms,
    coefficients: solved.coefficients,
    fit,
    allowsFor: design.allowsFor,
    cannotAllowFor: design.cannotAllowFor,
  }
}
