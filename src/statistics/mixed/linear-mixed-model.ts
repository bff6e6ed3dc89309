import { CannotEstimate, checkLevel } from '../shared.ts'
import { type LevelShape, NO_LEVEL } from './covariance-parameters.ts'
import { groupSums } from './group-sums.ts'
import { completeRows, INTERCEPT, type MixedModelData } from './mixed-data.ts'
import { type LinearMixedModel, reportFit } from './mixed-report.ts'
import { type Maximised, searchMaximum } from './search-maximum.ts'
import { orthonormalise, scaleColumn } from './working-columns.ts'

export interface MixedModelOptions {
  /** Restricted (REML) or full maximum likelihood (ML). REML unless given. */
  readonly estimation?: 'REML' | 'ML'
  /** Whether the fixed effects hold an intercept; yes unless given. */
  readonly intercept?: boolean
  /** Random columns of each group: '(Intercept)' and at most one column by its name. ['(Intercept)'] unless given. */
  readonly random?: readonly string[]
  /** Whether intercept and slope are correlated; yes unless given. */
  readonly correlated?: boolean
  /** The same for the outer level; ['(Intercept)'] unless given. Its slope must be on the same column. */
  readonly outerRandom?: readonly string[]
  readonly outerCorrelated?: boolean
  /** Level of the intervals, 0.95 unless given. */
  readonly level?: number
  /** What the intervals of the fixed effects rest on; Satterthwaite's t unless given. Profile intervals are of the ML fit. */
  readonly interval?: 'satterthwaite' | 'wald' | 'profile'
}

/**
 * Linear mixed model y = X beta + U b + e with a random intercept and/or slope per group, by REML or ML, groups optionally nested
 * in outer groups with their own random intercept and/or slope: b ~ N(0, G), e ~ N(0, s²).
 *
 * Works on sums per group, so a step costs the number of groups; the search is over Cholesky entries of G / s² with analytic
 * gradients, polished by Newton steps. A variance or correlation on its boundary is an estimate (`singular`), and whether the
 * search converged is data (`converged`, `optimiser`); neither throws.
 *
 * A row with anything missing is dropped and counted. Values must be finite.
 *
 * Known shortfall: with few groups (under about 10) or singular fits Satterthwaite intervals rest on variances poorly known; Wald's
 * take few groups for many: 95 % intervals of a slope held it in 92 % over 12 series (Satterthwaite's in 95 %; tests/coverage).
 *
 * Source: Laird and Ware (1982) Biometrics 38:963-974; Bates, Mächler, Bolker and Walker (2015) J Stat Softw 67(1), section 3;
 * degrees of freedom: Kuznetsova, Brockhoff and Christensen (2017) J Stat Softw 82(13), section 2.2.
 *
 * @throws CannotEstimate where columns differ in length or are collinear, a value is infinite, a random column is unknown, there are
 * not more rows than coefficients, fewer than two groups, or nothing is left to estimate a residual variance from
 */
export function linearMixedModel(data: MixedModelData, options: MixedModelOptions = {}): LinearMixedModel {
  const name = 'linearMixedModel'
  const { estimation = 'REML', intercept = true, level = 0.95 } = options
  checkLevel(name, level)
  const rows = completeRows(name, data, intercept)
  const p = rows.fixed.length
  const n = rows.y.length
  if (p === 0) throw new CannotEstimate(name, 'a fixed effect', 'none')
  if (n <= p) throw new CannotEstimate(name, `more complete rows than its ${p} coefficients`, String(n))
  if (rows.labels.length < 2) throw new CannotEstimate(name, 'two groups', String(rows.labels.length))
  if (rows.outerOf !== null && rows.outerLabels.length < 2)
    throw new CannotEstimate(name, 'two outer groups', String(rows.outerLabels.length))
  const inner = shapeOf(name, options.random ?? [INTERCEPT], options.correlated ?? true)
  const outer =
    rows.outerOf === null
      ? { ...NO_LEVEL, slope: null }
      : shapeOf(name, options.outerRandom ?? [INTERCEPT], options.outerCorrelated ?? true)
  const slopeName = inner.slope ?? outer.slope
  if (inner.slope !== null && outer.slope !== null && inner.slope !== outer.slope)
    throw new CannotEstimate(
      name,
      'one random slope column at both levels',
      `${inner.slope} and ${outer.slope}`,
    )
  const column = slopeName === null ? null : slopeColumn(name, rows, slopeName)
  const centred = [inner, outer].every((shape) => !shape.second || (shape.first && shape.correlated))
  const slope = column === null ? null : scaleColumn(name, slopeName!, column, centred)
  const ones = new Float64Array(n).fill(1)
  const working = orthonormalise(name, rows.fixed, rows.fixedNames, rows.y)
  const sums = groupSums(
    [...working.q, working.residual],
    [ones, slope === null ? null : slope.working],
    rows.codes,
    rows.labels.length,
    rows.outerOf,
    rows.outerLabels.length,
  )
  requireSpread(name, sums.ww[sums.ww.length - 1]!, rows.y)
  const found: Maximised = searchMaximum(name, sums, estimation === 'REML', inner, outer)
  return reportFit({
    found,
    fixedNames: rows.fixedNames,
    rInverse: working.rInverse,
    logDeterminantR: working.logDeterminantR,
    fitted: working.fitted,
    unscale:
      slope === null ? { shift: 0, scale: 1 } : { shift: -slope.centre / slope.scale, scale: slope.scale },
    slopeName: slopeName ?? '',
    labels: rows.labels,
    outerLabels: rows.outerLabels,
    nDropped: rows.nDropped,
    estimation,
    level,
    interval: options.interval ?? 'satterthwaite',
  })
}

/** Where y lies on the fixed effects exactly, nothing is left to judge variances by. */
export function requireSpread(name: string, left: number, y: Float64Array): void {
  let largest = 0
  for (const value of y) largest = Math.max(largest, Math.abs(value))
  if (!(left > (1e-13 * largest) ** 2 * y.length))
    throw new CannotEstimate(name, 'a residual spread', 'an outcome that the fixed effects determine')
}

function shapeOf(
  name: string,
  random: readonly string[],
  correlated: boolean,
): LevelShape & { readonly slope: string | null } {
  const slopes = random.filter((column) => column !== INTERCEPT)
  if (slopes.length > 1 || random.length === 0)
    throw new CannotEstimate(
      name,
      'a random intercept, one random slope or both',
      random.join(', ') || 'neither',
    )
  return {
    first: random.includes(INTERCEPT),
    second: slopes.length === 1,
    correlated,
    slope: slopes[0] ?? null,
  }
}

function slopeColumn(name: string, rows: ReturnType<typeof completeRows>, slope: string): Float64Array {
  const at = rows.fixedNames.indexOf(slope)
  const column = at >= 0 ? rows.fixed[at] : rows.randomOnly[slope]
  if (column === undefined)
    throw new CannotEstimate(name, `a column for the random slope among fixed or randomOnly`, `no ${slope}`)
  return column
}
