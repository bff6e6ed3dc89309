import binomial from '@stdlib/stats-base-dists-binomial'
import { chiSquareUpperTail } from './chi-square-tail.ts'
import { clopperPearsonInterval, wilsonInterval } from './proportion.ts'
import { CannotEstimate, checkLevel, type Interval } from './shared.ts'

export interface McNemarTest {
  readonly method: 'McNemar'
  readonly n: number
  readonly yesYes: number
  readonly yesNo: number
  readonly noYes: number
  readonly noNo: number
  /** Twice the smaller binomial tail; 1 where no pair is discordant. */
  readonly pExact: number
  /** The exact p less the chance of the observed split; null where no pair is discordant. */
  readonly pMid: number | null
  readonly chiSquare: number | null
  readonly pChiSquare: number | null
  readonly chiSquareContinuity: number | null
  readonly pChiSquareContinuity: number | null
  /** Lost ÷ gained; null where no pair is discordant, infinite where none was gained. */
  readonly oddsRatio: number | null
  readonly oddsRatioInterval: Interval
  /** Share before less share after. */
  readonly difference: number
  /** Newcombe's hybrid score intervals: method 10 with the continuity-corrected phi, method 8 with phi as it is. */
  readonly differenceInterval: Interval
  readonly differenceIntervalMethod8: Interval
}

/**
 * McNemar's test of a change of yes and no in pairs (1947, Psychometrika 12:153–157): exact, mid-p (Fagerland, Lydersen and Laake
 * 2013, BMC Med Res Methodol 13:91) and chi-square; difference of the shares by Newcombe (1998, Stat Med 17:2635–2650).
 *
 * @param table counts; rows before (yes, no), columns after (yes, no)
 * @throws CannotEstimate where the table is empty
 */
export function mcNemarTest(
  table: readonly [readonly [number, number], readonly [number, number]],
  { level = 0.95 }: { readonly level?: number } = {},
): McNemarTest {
  checkLevel('mcNemarTest', level)
  const [[a, b], [c, d]] = table
  const n = a + b + c + d
  if (!(n > 0)) throw new CannotEstimate('mcNemarTest', 'a pair', '0')
  const discordant = b + c
  const tail = discordant === 0 ? 1 : Math.min(1, 2 * binomial.cdf(Math.min(b, c), discordant, 0.5))
  const split = discordant === 0 ? 1 : binomial.pmf(b, discordant, 0.5)
  const chi = (distance: number): number | null => (discordant === 0 ? null : distance ** 2 / discordant)
  const chiSquare = chi(b - c)
  const chiSquareContinuity = chi(Math.max(0, Math.abs(b - c) - 1))
  const p = (x: number | null): number | null => (x === null ? null : chiSquareUpperTail(x, 1))
  const share =
    discordant === 0 ? { lower: 0, upper: 1 } : clopperPearsonInterval(b, discordant, { level }).interval
  const odds = (x: number): number => (x === 1 ? Infinity : x / (1 - x))
  const product = a * d - b * c
  const corrected = product > 0 ? Math.max(0, product - n / 2) : product
  const margins = Math.sqrt((a + b) * (c + d) * (a + c) * (b + d))
  const interval = (phi: number): Interval =>
    pairedDifference(a + b, a + c, n, margins === 0 ? 0 : phi / margins, level)
  return {
    method: 'McNemar',
    n,
    yesYes: a,
    yesNo: b,
    noYes: c,
    noNo: d,
    pExact: tail,
    pMid: discordant === 0 ? null : b === c ? 1 - split / 2 : tail - split,
    chiSquare,
    pChiSquare: p(chiSquare),
    chiSquareContinuity,
    pChiSquareContinuity: p(chiSquareContinuity),
    oddsRatio: discordant === 0 ? null : b / c,
    oddsRatioInterval: { lower: odds(share.lower!), upper: odds(share.upper!), level },
    difference: (b - c) / n,
    differenceInterval: interval(corrected),
    differenceIntervalMethod8: interval(product),
  }
}

/** Hybrid of two Wilson intervals with the correlation phi of the pairs. */
function pairedDifference(before: number, after: number, n: number, phi: number, level: number): Interval {
  const p1 = before / n
  const p2 = after / n
  const w1 = wilsonInterval(before, n, { level }).interval
  const w2 = wilsonInterval(after, n, { level }).interval
  const reach = (x: number, y: number): number => Math.sqrt(Math.max(0, x * x - 2 * phi * x * y + y * y))
  return {
    lower: p1 - p2 - reach(p1 - w1.lower!, w2.upper! - p2),
    upper: p1 - p2 + reach(w1.upper! - p1, p2 - w2.lower!),
    level,
  }
}
