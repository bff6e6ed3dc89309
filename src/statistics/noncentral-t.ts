import { gaussLegendre } from './gauss-legendre.ts'
import { beyond, logChiDensity, passage, reachOf } from './log-chi.ts'
import { normalTail } from './normal-tail.ts'
import { CannotEstimate } from './shared.ts'

/** At least this many equal panels over the reach of the integrand, and none wider than this. */
const PANELS = 16
const WIDEST = 0.75

/** What lies this far below the peak of the logarithm adds less than a double can hold. */
const DEEP = 45

/**
 * ∫ Φ(±(t s − ncp)) f(x) dx, s = exp(x), where no df makes the integrand rough. It has one peak, which is found first, then how far
 * it reaches, however far out in a tail that is; panels are cut finer where the normal factor turns, within 1/|t| of s = ncp/t.
 */
function integrate(t: number, df: number, ncp: number, upper: boolean): number {
  const sign = upper ? -1 : 1
  const density = logChiDensity(df)
  const log = (x: number): number => density(x) + normalTail(sign * (t * Math.exp(x) - ncp)).log
  const slope = (x: number): number => {
    const s = Math.exp(x)
    return df * (1 - s * s) + sign * t * s * normalTail(sign * (t * s - ncp)).hazard
  }
  const within = 0.01 / Math.sqrt(df + t * t)
  const peak = passage(
    slope,
    beyond((x) => -slope(x), 0, -1),
    beyond(slope, 0, 1),
    within,
  )
  const [from, to] = reachOf(log, peak, DEEP, within)
  const panels = Math.max(PANELS, Math.ceil((to - from) / WIDEST))
  const panel = (to - from) / panels
  const marks = [from, to]
  for (let i = 1; i < panels; i++) marks.push(from + panel * i)
  const turn = 0.75 / Math.abs(t)
  for (let i = -12; turn < panel * Math.exp(to) && i <= 12; i++) {
    const at = Math.log(ncp / t + i * turn)
    if (at > from && at < to) marks.push(at)
  }
  marks.sort((a, b) => a - b)
  let sum = 0
  for (let i = 1; i < marks.length; i++)
    gaussLegendre(marks[i - 1]!, marks[i]!, (x, weight) => {
      sum += weight * Math.exp(log(x))
    })
  return Math.min(1, Math.max(0, sum))
}

/**
 * P(T ≤ t) for the noncentral t distribution with `df` degrees of freedom and noncentrality `ncp`; `upper` gives P(T > t)
 * without cancellation. P = ∫ Φ(t s − ncp) f(s) ds over the density f of s = sqrt(chi-square / df) (Johnson, Kotz and
 * Balakrishnan 1995, Continuous Univariate Distributions 2, section 31.3), by Gauss–Legendre quadrature. Agrees with
 * R's `pt` within 1e-10 over the grid in the tests, and does not lose the tails where R's algorithm does.
 *
 * @throws CannotEstimate unless df is finite and at least 1
 */
export function noncentralTCdf(t: number, df: number, ncp: number, { upper = false } = {}): number {
  if (!(df >= 1 && df < Infinity))
    throw new CannotEstimate('noncentralTCdf', 'finite degrees of freedom, 1 or more', String(df))
  if (Number.isNaN(t) || Number.isNaN(ncp)) return Number.NaN
  if (!Number.isFinite(t)) return t > 0 === upper ? 0 : 1
  return integrate(t, df, ncp, upper)
}
