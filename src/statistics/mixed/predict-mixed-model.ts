import normal from '@stdlib/stats-base-dists-normal'
import { CannotEstimate, checkLevel, type Interval, isKnown, type Maybe } from '../shared.ts'
import { form } from './group-effects.ts'
import { INTERCEPT } from './mixed-data.ts'
import type { LinearMixedModel } from './mixed-report.ts'
import type { Relative } from './profiled-deviance.ts'

export interface PredictionRow {
  /** Values of the fixed-effects columns by name, the intercept apart. */
  readonly fixed: Readonly<Record<string, number>>
  /** Value of the random slope's column, where it is not among the fixed ones. */
  readonly slopeValue?: number
  /** Group whose line is wanted; left out, the line of the population. */
  readonly group?: string | number
  readonly outerGroup?: string | number
}

export interface MixedPrediction {
  readonly estimate: number
  /** Standard error of the line at this point: coefficients, and the group's predicted effects where one is named. */
  readonly se: number
  readonly interval: Interval
}

/**
 * Points on the population's line, or on a group's own shrunken line, with bands: estimate ± z SE, SE² = s²(d'M^-1 d + u'C u), d the
 * fixed-effects row less its share that the random effects follow, C the conditional covariance of the group's effects over s².
 * `band: 'observation'` adds s² (and, for the population, the random effects' variance): where a new value would lie.
 *
 * Variances are taken as known, so bands are narrow where groups are few.
 *
 * Source: Henderson (1975) Biometrics 31:423-447; Laird and Ware (1982), equations 3.2 and 3.3.
 *
 * @throws CannotEstimate for an unknown group, or a row without a column of the model
 */
export function predictMixedModel(
  fit: LinearMixedModel,
  rows: readonly PredictionRow[],
  { level = 0.95, band = 'line' }: { readonly level?: number; readonly band?: 'line' | 'observation' } = {},
): MixedPrediction[] {
  checkLevel('predictMixedModel', level)
  const reach = normal.quantile((1 + level) / 2, 0, 1)
  const find = groupFinder(fit)
  return rows.map((row) => {
    const x = fixedRow(fit, row)
    const slopeValue = slopeOf(fit, row)
    const at = find(row)
    const { estimate, variance } = at === null ? population(fit, x) : ownLine(fit, x, slopeValue, at)
    const extra = band === 'line' ? 0 : fit.residualSd ** 2 + (at === null ? between(fit, slopeValue) : 0)
    const se = Math.sqrt(variance + extra)
    return { estimate, se, interval: { lower: estimate - reach * se, upper: estimate + reach * se, level } }
  })
}

function fixedRow(fit: LinearMixedModel, row: PredictionRow): Float64Array {
  return Float64Array.from(fit.fixed, ({ name }) => {
    const value: Maybe = name === INTERCEPT ? 1 : row.fixed[name]
    if (!isKnown(value)) throw new CannotEstimate('predictMixedModel', `a value of ${name}`, 'none')
    return value
  })
}

function slopeOf(fit: LinearMixedModel, row: PredictionRow): number {
  const { slopeName } = fit.working
  if (slopeName === '') return 0
  const value: Maybe = row.slopeValue ?? row.fixed[slopeName]
  if (!isKnown(value)) throw new CannotEstimate('predictMixedModel', `a value of ${slopeName}`, 'none')
  return value
}

/** Index of the row's group; null for the population. */
function groupFinder(fit: LinearMixedModel): (row: PredictionRow) => number | null {
  const { outerOf } = fit.working
  const inner = fit.groupEffects[0]!.labels
  const outer = fit.groupEffects[1]?.labels
  const key = (group: string | number, outerGroup?: string | number) =>
    JSON.stringify([group, outerGroup ?? null])
  const places = new Map(
    inner.map((label, g) => [key(label, outerOf === null ? undefined : outer![outerOf[g]!]), g]),
  )
  return ({ group, outerGroup }) => {
    if (group === undefined) return null
    const found = places.get(key(group, outerOf === null ? undefined : outerGroup))
    if (found === undefined)
      throw new CannotEstimate(
        'predictMixedModel',
        'a group that the model was fitted to',
        `${outerGroup ?? ''} ${group}`,
      )
    return found
  }
}

function population(
  fit: LinearMixedModel,
  x: Float64Array,
): { readonly estimate: number; readonly variance: number } {
  let estimate = 0
  let variance = 0
  fit.fixed.forEach((effect, i) => {
    estimate += effect.estimate * x[i]!
    fit.fixed.forEach((_, j) => {
      variance += x[i]! * x[j]! * fit.fixedCovariance[i]![j]!
    })
  })
  return { estimate, variance }
}

/** Variance of the random effects themselves at a value of the slope's column. */
function between(fit: LinearMixedModel, slopeValue: number): number {
  return fit.random.reduce((sum, { columns, covariance }) => {
    const u = columns.map((name) => (name === INTERCEPT ? 1 : slopeValue))
    return sum + covariance.reduce((s, row, i) => s + row.reduce((t, v, j) => t + v * u[i]! * u[j]!, 0), 0)
  }, 0)
}

function ownLine(fit: LinearMixedModel, x: Float64Array, slopeValue: number, g: number) {
  const { working } = fit
  const { rInverse, inverse, inner, outer, outerOf } = working
  const p = x.length
  // Into the working columns: x = Q-row R, and u = (1, (t - centre) / scale).
  const q = new Float64Array(p)
  for (let j = 0; j < p; j++) for (let i = 0; i < p; i++) q[j]! += x[i]! * rInverse[i * p + j]!
  const u = [
    1,
    working.slopeName === '' ? 0 : slopeValue / working.unscale.scale + working.unscale.shift,
  ] as const
  const total = population(fit, x)
  let estimate = total.estimate
  const d = q.slice()
  const follow = (products: { readonly c: Float64Array }, relative: Relative, at: number): void => {
    const w0 = u[0] * relative[0] + u[1] * relative[1]
    const w1 = u[0] * relative[1] + u[1] * relative[2]
    const from = 2 * (p + 1) * at
    const value = (j: number) => w0 * products.c[from + j]! + w1 * products.c[from + p + 1 + j]!
    estimate += value(p)
    for (let j = 0; j < p; j++) {
      estimate -= value(j) * working.beta[j]!
      d[j]! -= value(j)
    }
  }
  follow(inner, working.innerRelative, g)
  if (outerOf !== null) follow(outer, working.outerRelative, outerOf[g]!)
  const residual = fit.residualSd ** 2
  const conditional = conditionalForm(fit, u, g)
  return { estimate, variance: residual * (form(d, d, inverse) + conditional) }
}

/** u' C u, C = P - P U'H^-1U P of the sum of the group's and its outer group's effects. */
function conditionalForm(fit: LinearMixedModel, u: readonly [number, number], g: number): number {
  const { working } = fit
  const { inner, outer, outerOf, innerRelative, outerRelative } = working
  const times = ([a, b, c]: Relative): [number, number] => [a * u[0] + b * u[1], b * u[0] + c * u[1]]
  const quadratic = (a: ArrayLike<number>, at: number, v: readonly number[]): number =>
    a[at]! * v[0]! ** 2 + 2 * a[at + 1]! * v[0]! * v[1]! + a[at + 2]! * v[1]! ** 2
  const own = times(innerRelative)
  let value = u[0] * own[0] + u[1] * own[1] - quadratic(inner.a, 3 * g, own)
  if (outerOf === null) return value
  const o = outerOf[g]!
  const above = times(outerRelative)
  value += u[0] * above[0] + u[1] * above[1] - quadratic(outer.a, 3 * o, above)
  // U_o'H^-1U_g is U_g'H^-1U_g plus its other groups' share; kept by the fit.
  const cross = working.cross
  const c = cross.subarray(4 * g, 4 * g + 4)
  return (
    value - 2 * (above[0] * (c[0]! * own[0] + c[1]! * own[1]) + above[1] * (c[2]! * own[0] + c[3]! * own[1]))
  )
}
