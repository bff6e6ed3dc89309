import normal from '@stdlib/stats-base-dists-normal'
import { findRoot } from './find-root.ts'
import { gaussLegendre } from './gauss-legendre.ts'
import { logChiDensity, reachOf } from './log-chi.ts'
import { noncentralTCdf } from './noncentral-t.ts'
import { CannotEstimate } from './shared.ts'

/** Values of s = sqrt(chi-square / df), with weights that hold its density: sums over them are integrals. */
interface Rule {
  readonly at: Float64Array
  readonly weight: Float64Array
}

/** Deep enough for probabilities that are themselves above {@link RARE}. */
const SHALLOW = 40
const RARE = 1e-4
/** A panel of the rule is at most this many times 1/√df wide, and t s changes in it by no more than {@link MOST_TURN}. */
const RULE_PANEL = 2
const MOST_TURN = 6
/** A rule of more values than this costs more than the search between two ends. */
const MOST_VALUES = 20_000

/** Null where t is so large that the rule would be too long. */
function ruleOf(df: number, steepest: number): Rule | null {
  const density = logChiDensity(df)
  const scale = 1 / Math.sqrt(df)
  const widest = RULE_PANEL * scale
  const [from, to] = reachOf(density, 0, SHALLOW, 0.1 * scale)
  const at: number[] = []
  const weight: number[] = []
  for (let left = from; left < to; ) {
    if (at.length > MOST_VALUES) return null
    const right = Math.min(
      left + widest,
      left + MOST_TURN / (steepest * Math.exp(Math.min(left + widest, to))),
      to,
    )
    gaussLegendre(left, right, (x, w) => {
      at.push(Math.exp(x))
      weight.push(w * Math.exp(density(x)))
    })
    left = right
  }
  return { at: Float64Array.from(at), weight: Float64Array.from(weight) }
}

/** P(T ≤ t), or P(T > t), with its derivatives. */
function probabilityOf({ at, weight }: Rule, t: number, ncp: number, upper: boolean) {
  let p = 0
  let byT = 0
  let byNcp = 0
  for (let i = 0; i < at.length; i++) {
    const z = t * at[i]! - ncp
    p += weight[i]! * normal.cdf(upper ? -z : z, 0, 1)
    const slope = weight[i]! * Math.exp((-z * z) / 2)
    byNcp -= slope
    byT += at[i]! * slope
  }
  const scale = (upper ? -1 : 1) / Math.sqrt(2 * Math.PI)
  return { p, byT: byT * scale, byNcp: byNcp * scale }
}

/** A noncentral t of which one number is sought, so that P(T ≤ t) is `probability`. The other is held. */
interface Search {
  readonly sought: 't' | 'ncp'
  /** Where it begins; the normal approximation is good. */
  readonly t: number
  readonly ncp: number
  readonly df: number
  readonly probability: number
}

/**
 * Newton's steps on the scale of normal quantiles, where P is all but straight. Null where that would not be exact to the last
 * digits: far out in a tail of P, or where it strays.
 */
function byNewton({ sought, df, probability, ...begin }: Search): number | null {
  if (probability < RARE || probability > 1 - RARE) return null
  const upper = probability > 0.5
  const wanted = normal.quantile(upper ? 1 - probability : probability, 0, 1)
  const steepest = sought === 't' ? 2 * Math.abs(begin.t) + 4 : Math.abs(begin.t)
  const rule = ruleOf(df, steepest)
  if (rule === null) return null
  let { t, ncp } = begin
  for (let step = 0; step < 20 && Math.abs(t) <= steepest; step++) {
    const { p, byT, byNcp } = probabilityOf(rule, t, ncp, upper)
    if (!(p > RARE / 10 && p < 1 - RARE / 10)) return null
    const z = normal.quantile(p, 0, 1)
    const move = ((wanted - z) * normal.pdf(z, 0, 1)) / (sought === 't' ? byT : byNcp)
    if (sought === 't') t += move
    else ncp += move
    const reached = sought === 't' ? t : ncp
    if (Math.abs(move) <= 1e-13 * (1 + Math.abs(reached))) return reached
  }
  return null
}

/** Brent's method between two ends, moved apart until what is sought lies between them. */
function byBracket({ sought, t, ncp, df, probability }: Search, reach: number): number {
  const upper = probability > 0.5
  const aim = upper ? 1 - probability : probability
  // P(T ≤ t) grows with t and falls with the noncentrality; P(T > t) the other way round.
  const rises = (sought === 't') !== upper
  const over = (x: number): number => {
    const p = sought === 't' ? noncentralTCdf(x, df, ncp, { upper }) : noncentralTCdf(t, df, x, { upper })
    return rises ? p - aim : aim - p
  }
  const begin = sought === 't' ? t : ncp
  let below = reach
  while (over(begin - below) > 0) below *= 2
  let above = reach
  while (over(begin + above) < 0) above *= 2
  return findRoot(over, begin - below, begin + above)
}

function solve(name: string, search: Search, reach: number): number {
  const { df, probability } = search
  if (!(probability > 0 && probability < 1))
    throw new CannotEstimate(name, 'a probability between 0 and 1', String(probability))
  if (!(df >= 1 && df < Infinity))
    throw new CannotEstimate(name, 'finite degrees of freedom, 1 or more', String(df))
  return byNewton(search) ?? byBracket(search, reach)
}

/**
 * The noncentrality at which P(T ≤ t) is `probability`: an end of the interval of a standardised mean difference.
 * P falls as the noncentrality grows, so there is exactly one.
 *
 * @throws CannotEstimate unless df is finite and at least 1 and 0 < probability < 1
 */
export function noncentralityOf(t: number, df: number, probability: number): number {
  const spread = Math.sqrt(1 + (t * t) / (2 * df))
  // Only where the search begins: the library's quantile is infinite below 1e-17.
  const z = Math.max(-38, Math.min(38, normal.quantile(probability, 0, 1)))
  const ncp = t - z * spread
  return solve('noncentralityOf', { sought: 'ncp', t, ncp, df, probability }, (1 + spread) / 2)
}

/**
 * The t at which P(T ≤ t) is `probability` for the noncentral t distribution.
 *
 * @throws CannotEstimate unless df is finite and at least 1 and 0 < probability < 1
 */
export function noncentralTQuantile(probability: number, df: number, ncp: number): number {
  const reach = 1 + Math.abs(ncp) / Math.sqrt(df)
  return solve('noncentralTQuantile', { sought: 't', t: ncp, ncp, df, probability }, reach)
}
