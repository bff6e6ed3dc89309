import normal from '@stdlib/stats-base-dists-normal'
import { CannotEstimate, checkLevel, type Interval, type Maybe } from './shared.ts'
import { signedDifferences, signedRanks } from './wilcoxon-signed-rank.ts'

export interface MatchedPairsRankBiserial {
  readonly method: 'matched-pairs rank-biserial'
  readonly n: number
  readonly nDropped: number
  readonly nZero: number
  /** (sum of the ranks of increases − of decreases) ÷ their sum, zeros dropped: 1 where all increase. */
  readonly estimate: number
  /** By Fisher's z. */
  readonly interval: Interval
  readonly wPlus: number
  readonly wMinus: number
  /** Share of pairs that increase, those without a change counted half. */
  readonly probabilityOfImprovement: number
  /** (increases − decreases) ÷ pairs. */
  readonly signDifference: number
}

/**
 * Matched-pairs rank-biserial correlation of after less before (Kerby 2014, Compr Psychol 3:1; King and Minium). Interval
 * tanh(atanh r ± z sqrt((2m³+3m²+m)/6) ÷ ((m²+m)/2)) over the m pairs with a change, as in the R package effectsize. A pair with a
 * missing half is dropped and counted.
 *
 * @throws CannotEstimate where no complete pair changes
 */
export function matchedPairsRankBiserial(
  before: ArrayLike<Maybe>,
  after: ArrayLike<Maybe>,
  { level = 0.95 }: { readonly level?: number } = {},
): MatchedPairsRankBiserial {
  checkLevel('matchedPairsRankBiserial', level)
  const { differences, dropped } = signedDifferences('matchedPairsRankBiserial', before, after)
  const ranks = signedRanks(differences, 'dropped', 0)
  const m = ranks.nRanked
  if (m === 0) throw new CannotEstimate('matchedPairsRankBiserial', 'a pair with a change', 'none')
  const n = differences.length
  const up = differences.filter((d) => d > 0).length
  const down = differences.filter((d) => d < 0).length
  const estimate = (ranks.wPlus - ranks.wMinus) / (ranks.wPlus + ranks.wMinus)
  const reach =
    (normal.quantile((1 + level) / 2, 0, 1) * Math.sqrt((2 * m ** 3 + 3 * m ** 2 + m) / 6)) /
    ((m * m + m) / 2)
  return {
    method: 'matched-pairs rank-biserial',
    n,
    nDropped: dropped,
    nZero: n - m,
    estimate,
    interval: {
      lower: Math.tanh(Math.atanh(estimate) - reach),
      upper: Math.tanh(Math.atanh(estimate) + reach),
      level,
    },
    wPlus: ranks.wPlus,
    wMinus: ranks.wMinus,
    probabilityOfImprovement: (up + (n - m) / 2) / n,
    signDifference: (up - down) / n,
  }
}
