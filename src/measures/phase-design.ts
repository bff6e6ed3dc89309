import { CannotEstimate, restrictedCubicSpline } from '../statistics/index.ts'
import type { PhaseRow, PhaseRows } from './phase-rows.ts'

/** Fewest series with the occasions a term needs before it is worth its place: the rule of the design document. */
export const FEWEST_SERIES = 10

/** The fixed part of the phase model. */
export interface PhaseDesign {
  /** Names of the columns, the intercept first. */
  readonly terms: readonly string[]
  /** Column that holds the difference of the slopes. */
  readonly difference: number
  readonly rows: readonly (readonly number[])[]
  /** What the terms allow for, in sentences. */
  readonly allowsFor: readonly string[]
  /** What they cannot allow for in these records, in sentences. */
  readonly cannotAllowFor: readonly string[]
}

interface Term {
  readonly name: string
  readonly value: (row: PhaseRow, i: number) => number
}

/**
 * The columns of the phase model: intercept, months, months after the start (whose coefficient is the difference of the slopes), and
 * what a plain two-slope model would mistake for a programme.
 *
 * - *Regression to the mean.* A child starts because the last score before the start was high, and was referred because the first was.
 *   Errors of measurement are part of why. A step at the baseline, and one at the first occasion where enough series have a third
 *   between, take those two occasions out of the slopes; the other occasions were picked by nobody.
 * - *Growth that is no straight line.* Reflexes go faster in the young: age at the start, and a restricted cubic spline of age,
 *   so that a bend of growth with age is not read as a bend at the start.
 *
 * The floor at 0 is the ordinal model's business.
 */
export function phaseDesign(data: PhaseRows): PhaseDesign {
  const terms: Term[] = [
    { name: 'intercept', value: () => 1 },
    { name: 'months', value: (row) => row.months },
    { name: 'months after the start', value: (row) => Math.max(row.months, 0) },
    { name: 'baseline occasion', value: (row) => row.baseline },
  ]
  const allowsFor = ['The score that the start was decided on is not part of the slope before it.']
  const cannotAllowFor: string[] = []
  if (data.withThreeBefore >= FEWEST_SERIES) {
    terms.push({ name: 'first occasion', value: (row) => row.first })
    allowsFor.push('Nor is the first score of all, on which children are referred.')
  } else
    cannotAllowFor.push(
      `Only ${data.withThreeBefore} series have three scores before the start, so a first score that was high by chance makes the slope before the start look steeper than it was.`,
    )
  const ages = ageTerms(data.rows)
  terms.push(...ages.terms)
  allowsFor.push(...ages.allowsFor)
  cannotAllowFor.push(...ages.cannotAllowFor)
  return {
    terms: terms.map((t) => t.name),
    difference: 2,
    rows: data.rows.map((row, i) => terms.map((t) => t.value(row, i))),
    allowsFor,
    cannotAllowFor,
  }
}

function ageTerms(rows: readonly PhaseRow[]): {
  readonly terms: Term[]
  readonly allowsFor: string[]
  readonly cannotAllowFor: string[]
} {
  const starts = rows.map((row) => row.ageAtStartYears)
  const middle = starts.reduce((a, b) => a + b, 0) / Math.max(1, starts.length)
  const alike = Math.max(...starts) - Math.min(...starts) < 1
  if (alike)
    return {
      terms: [],
      allowsFor: [],
      cannotAllowFor: [
        'Children start at nearly one age, so growth that slows with age cannot be allowed for.',
      ],
    }
  const atStart: Term = { name: 'age at the start', value: (row) => row.ageAtStartYears - middle }
  try {
    const { columns } = restrictedCubicSpline(rows.map((row) => row.ageYears))
    return {
      terms: [
        atStart,
        { name: 'age, first curved term', value: (_, i) => columns[0][i]! },
        { name: 'age, second curved term', value: (_, i) => columns[1][i]! },
      ],
      allowsFor: ['Growth may be fast in the young and slow later: a curve of age is part of the model.'],
      cannotAllowFor: [],
    }
  } catch (error) {
    if (!(error instanceof CannotEstimate)) throw error
    return {
      terms: [atStart],
      allowsFor: [],
      cannotAllowFor: ['Too few different ages: growth that slows with age cannot be allowed for.'],
    }
  }
}
