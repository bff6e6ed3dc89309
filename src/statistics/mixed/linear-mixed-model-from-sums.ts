import { CannotEstimate, checkLevel } from '../shared.ts'
import type { GroupSums } from './group-sums.ts'
import { INTERCEPT } from './mixed-data.ts'
import { type LinearMixedModel, reportFit } from './mixed-report.ts'
import { searchMaximum } from './search-maximum.ts'
import { invertUpper } from './working-columns.ts'

/** Sums per series, one element a series: what a reader of many files can keep instead of the rows. */
export interface SeriesSums {
  readonly n: ArrayLike<number>
  readonly t: ArrayLike<number>
  readonly tt: ArrayLike<number>
  readonly y: ArrayLike<number>
  readonly ty: ArrayLike<number>
  readonly yy: ArrayLike<number>
  readonly labels?: readonly (string | number)[]
}

export interface FromSumsOptions {
  readonly estimation?: 'REML' | 'ML'
  /** Name that the slope gets; 't' unless given. */
  readonly slopeName?: string
  readonly level?: number
  readonly interval?: 'satterthwaite' | 'wald' | 'profile'
}

/**
 * y = b0 + b1 t + (u0 + u1 t) by series + e from each series' sums alone: the same fit as {@link linearMixedModel} with a random
 * intercept and slope. Take t and y from a nearby origin (months since the start, not dates): far sums cancel, as differences of
 * large squares; that loses about twice as many digits as t or y has before its spread begins.
 *
 * @throws CannotEstimate where arrays differ in length, fewer than two series or no more than two rows are there, t never differs, or
 * y lies on one line
 */
export function linearMixedModelFromSums(
  series: SeriesSums,
  options: FromSumsOptions = {},
): LinearMixedModel {
  const name = 'linearMixedModelFromSums'
  const { estimation = 'REML', level = 0.95, slopeName = 't' } = options
  checkLevel(name, level)
  const nGroups = series.n.length
  for (const key of ['t', 'tt', 'y', 'ty', 'yy'] as const)
    if (series[key].length !== nGroups)
      throw new CannotEstimate(
        name,
        `a sum of ${key} for each of ${nGroups} series`,
        String(series[key].length),
      )
  if (nGroups < 2) throw new CannotEstimate(name, 'two series', String(nGroups))
  const total = totals(series)
  if (total.n <= 2) throw new CannotEstimate(name, 'more rows than its 2 coefficients', String(total.n))
  const centre = total.t / total.n
  const scale = Math.sqrt(Math.max(0, total.tt / total.n - centre ** 2))
  if (!(scale > 1e-7 * Math.abs(centre))) throw new CannotEstimate(name, 'two different values of t', 'one')
  const sums = workingSums(series, total, centre, scale)
  const left = sums.ww[8]!
  if (!(left > 1e-12 * total.yy))
    throw new CannotEstimate(name, 'a residual spread', 'an outcome on one line')
  // The design is (1, t) = working (1, w) R with w = (t - centre) / scale.
  const r = Float64Array.of(1, centre, 0, scale)
  const { intercept, slope } = lineOf(total, centre, scale)
  return reportFit({
    found: searchMaximum(
      name,
      sums,
      estimation === 'REML',
      { first: true, second: true, correlated: true },
      { first: false, second: false, correlated: false },
    ),
    fixedNames: [INTERCEPT, slopeName],
    rInverse: invertUpper(r, 2),
    logDeterminantR: Math.log(scale),
    fitted: Float64Array.of(intercept, slope),
    unscale: { shift: -centre / scale, scale },
    slopeName,
    labels: series.labels ?? Array.from({ length: nGroups }, (_, g) => g),
    outerLabels: [],
    nDropped: 0,
    estimation,
    level,
    interval: options.interval ?? 'satterthwaite',
  })
}

type Totals = Readonly<Record<'n' | 't' | 'tt' | 'y' | 'ty' | 'yy', number>>

function totals(series: SeriesSums): Totals {
  const sum = (xs: ArrayLike<number>): number => {
    let value = 0
    for (let i = 0; i < xs.length; i++) value += xs[i]!
    return value
  }
  return {
    n: sum(series.n),
    t: sum(series.t),
    tt: sum(series.tt),
    y: sum(series.y),
    ty: sum(series.ty),
    yy: sum(series.yy),
  }
}

/** Least-squares line on w = (t - centre) / scale, whose mean is 0 and mean square 1. */
function lineOf(total: Totals, centre: number, scale: number) {
  return { intercept: total.y / total.n, slope: (total.ty - centre * total.y) / (scale * total.n) }
}

/** Sums of (1, w) and of y less its least-squares line, by series. */
function workingSums(series: SeriesSums, total: Totals, centre: number, scale: number): GroupSums {
  const nGroups = series.n.length
  const { intercept, slope } = lineOf(total, centre, scale)
  const uu = new Float64Array(3 * nGroups)
  const uw = new Float64Array(6 * nGroups)
  let rss = 0
  for (let g = 0; g < nGroups; g++) {
    const n = series.n[g]!
    const w = (series.t[g]! - centre * n) / scale
    const ww = (series.tt[g]! - 2 * centre * series.t[g]! + centre ** 2 * n) / scale ** 2
    const y = series.y[g]!
    const wy = (series.ty[g]! - centre * y) / scale
    uu.set([n, w, ww], 3 * g)
    uw.set([n, w, y - intercept * n - slope * w, w, ww, wy - intercept * w - slope * ww], 6 * g)
    rss +=
      series.yy[g]! -
      2 * (intercept * y + slope * wy) +
      intercept ** 2 * n +
      2 * intercept * slope * w +
      slope ** 2 * ww
  }
  const ww = Float64Array.of(total.n, 0, 0, 0, total.n, 0, 0, 0, rss)
  return { n: total.n, width: 3, uu, uw, ww, nGroups, outerOf: null, nOuter: 0 }
}
