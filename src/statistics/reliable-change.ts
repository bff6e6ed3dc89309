import normal from '@stdlib/stats-base-dists-normal'
import { intraclassCorrelations } from './intraclass-correlations.ts'
import { standardDeviationOf } from './moments.ts'
import { CannotEstimate, isKnown, type Maybe } from './shared.ts'

/** The z beyond which a change is called reliable, as printed by Jacobson and Truax: 1.96, strictly. */
const RELIABLE_Z = 1.96

export interface StandardErrors {
  /** sd sqrt(1 − reliability). */
  readonly standardErrorOfMeasurement: number
  /** √2 times that: of a difference of two scores. */
  readonly standardErrorOfDifference: number
}

/**
 * Standard error of measurement from a spread and a reliability (classical test theory; Jacobson and Truax 1991).
 * @throws CannotEstimate unless sd ≥ 0 and 0 ≤ reliability ≤ 1
 */
export function standardErrorOfMeasurement(sd: number, reliability: number): StandardErrors {
  if (!(sd >= 0)) throw new CannotEstimate('standardErrorOfMeasurement', 'an sd of 0 or more', String(sd))
  if (!(reliability >= 0 && reliability <= 1))
    throw new CannotEstimate('standardErrorOfMeasurement', 'a reliability from 0 to 1', String(reliability))
  const error = sd * Math.sqrt(1 - reliability)
  return { standardErrorOfMeasurement: error, standardErrorOfDifference: Math.SQRT2 * error }
}

/** Change that measuring error exceeds once in 1 ÷ (1 − level): z √2 SEM (also called minimal detectable change). */
export const smallestDetectableChange = (errorOfMeasurement: number, level = 0.95): number =>
  normal.quantile((1 + level) / 2, 0, 1) * Math.SQRT2 * errorOfMeasurement

export interface ReliableChange extends StandardErrors {
  readonly method: 'Jacobson-Truax reliable change'
  /** (after − before) ÷ standard error of the difference; null where that is 0. */
  readonly index: number | null
  /** True where |index| > 1.96, strictly. */
  readonly reliable: boolean
  readonly smallestDetectableChange95: number
  readonly smallestDetectableChange90: number
}

/**
 * Reliable change index of one person (Jacobson and Truax 1991, J Consult Clin Psychol 59:12–19, p. 14).
 * @throws CannotEstimate as {@link standardErrorOfMeasurement}
 */
export function reliableChange(
  before: number,
  after: number,
  sd: number,
  reliability: number,
): ReliableChange {
  const errors = standardErrorOfMeasurement(sd, reliability)
  const by = errors.standardErrorOfDifference
  const index = by > 0 ? (after - before) / by : null
  return {
    method: 'Jacobson-Truax reliable change',
    ...errors,
    index,
    reliable: index !== null && Math.abs(index) > RELIABLE_Z + 1e-12,
    smallestDetectableChange95: smallestDetectableChange(errors.standardErrorOfMeasurement, 0.95),
    smallestDetectableChange90: smallestDetectableChange(errors.standardErrorOfMeasurement, 0.9),
  }
}

interface MeanAndSd {
  readonly mean: number
  readonly sd: number
}

/** The three cut-offs of clinical significance (Jacobson and Truax 1991, p. 13): b and c need a functional population. */
export function clinicalCutoffs(
  clinical: MeanAndSd,
  functional: MeanAndSd | null,
  { higherIsBetter }: { readonly higherIsBetter: boolean },
): { readonly a: number; readonly b: number | null; readonly c: number | null } {
  const sign = higherIsBetter ? 1 : -1
  return {
    a: clinical.mean + sign * 2 * clinical.sd,
    b: functional && functional.mean - sign * 2 * functional.sd,
    c:
      functional &&
      (clinical.sd * functional.mean + functional.sd * clinical.mean) / (clinical.sd + functional.sd),
  }
}

export interface ReliableChangeTable {
  readonly method: 'Jacobson-Truax classification'
  readonly n: number
  readonly nDropped: number
  readonly standardErrorOfDifference: number
  /** Reliably better and across the cut-off; reliably better only; neither; reliably worse. */
  readonly recovered: number
  readonly improved: number
  readonly unchanged: number
  readonly deteriorated: number
  /** Signed so that above 0 is better. */
  readonly indices: readonly number[]
}

/**
 * Classification of many people by reliable change and cut-off (Jacobson and Truax 1991, p. 17). A pair with a missing half is
 * dropped and counted.
 * @throws CannotEstimate where the error is 0 or no pair is complete
 */
export function reliableChangeTable(
  before: ArrayLike<Maybe>,
  after: ArrayLike<Maybe>,
  options: {
    readonly sd: number
    readonly reliability: number
    readonly cutoff: number
    readonly higherIsBetter: boolean
  },
): ReliableChangeTable {
  const error = standardErrorOfMeasurement(options.sd, options.reliability).standardErrorOfDifference
  if (!(error > 0))
    throw new CannotEstimate('reliableChangeTable', 'a measuring error above 0', String(error))
  if (before.length !== after.length)
    throw new CannotEstimate(
      'reliableChangeTable',
      'as many values after as before',
      `${after.length} and ${before.length}`,
    )
  const sign = options.higherIsBetter ? 1 : -1
  const counts = { recovered: 0, improved: 0, unchanged: 0, deteriorated: 0 }
  const indices: number[] = []
  for (let i = 0; i < before.length; i++) {
    const x = before[i]
    const y = after[i]
    if (!isKnown(x) || !isKnown(y)) continue
    const index = (sign * (y - x)) / error
    indices.push(index)
    const crossed = sign * (x - options.cutoff) < 0 && sign * (y - options.cutoff) >= 0
    if (index < -RELIABLE_Z) counts.deteriorated++
    else if (index > RELIABLE_Z) counts[crossed ? 'recovered' : 'improved']++
    else counts.unchanged++
  }
  if (indices.length === 0) throw new CannotEstimate('reliableChangeTable', 'a complete pair', '0')
  return {
    method: 'Jacobson-Truax classification',
    n: indices.length,
    nDropped: before.length - indices.length,
    standardErrorOfDifference: error,
    ...counts,
    indices,
  }
}

export interface MeasurementError {
  readonly method: 'standard error of measurement from repeated ratings'
  readonly nSubjects: number
  readonly nRaters: number
  readonly nDropped: number
  readonly icc21: number | null
  readonly icc31: number | null
  /** sqrt(residual mean square); with the raters' variance added, at least 0. */
  readonly consistency: number
  readonly agreement: number
  /** Of all ratings. */
  readonly sdTotal: number
  readonly fromIcc21: number
  /** SD of the differences ÷ √2, where there are two raters. */
  readonly fromDifferences: number | null
}

/**
 * Standard error of measurement of ratings by subject and rater, by mean squares (de Vet et al. 2006, J Clin Epidemiol 59:1033–1039).
 * @throws CannotEstimate as {@link intraclassCorrelations}
 */
export function measurementError(ratings: readonly ArrayLike<Maybe>[]): MeasurementError {
  const c = intraclassCorrelations(ratings)
  const rows = ratings.map((row) => Array.from(row)).filter((row) => row.every(isKnown)) as number[][]
  const sdTotal = standardDeviationOf(rows.flat())
  const { meanSquareResidual: mse, meanSquareRaters: msj } = c
  return {
    method: 'standard error of measurement from repeated ratings',
    nSubjects: c.nSubjects,
    nRaters: c.nRaters,
    nDropped: c.nDropped,
    icc21: c.icc21.estimate,
    icc31: c.icc31.estimate,
    consistency: Math.sqrt(mse),
    agreement: Math.sqrt(mse + Math.max(0, (msj - mse) / c.nSubjects)),
    sdTotal,
    fromIcc21: sdTotal * Math.sqrt(1 - (c.icc21.estimate ?? Number.NaN)),
    fromDifferences: c.nRaters === 2 ? standardDeviationOf(rows.map(([x, y]) => x! - y!)) / Math.SQRT2 : null,
  }
}
