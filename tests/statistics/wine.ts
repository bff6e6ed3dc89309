import type { CumulativeLinkRows } from '../../src/statistics/cumulative-link-scores.ts'

/** Bitterness of wine (Randall 1989), as in the R package ordinal: nine judges, eight ratings each (rating - 1). */
const RATING = [
  [1, 2, 2, 3, 3, 3, 4, 4],
  [0, 1, 0, 2, 1, 2, 4, 3],
  [1, 2, 2, 1, 4, 4, 3, 3],
  [2, 1, 2, 1, 2, 1, 4, 2],
  [1, 2, 3, 2, 2, 2, 2, 2],
  [2, 1, 2, 1, 1, 3, 4, 3],
  [0, 0, 1, 1, 1, 2, 1, 2],
  [1, 1, 1, 2, 2, 2, 2, 3],
  [0, 1, 2, 1, 2, 1, 3, 3],
]
const WARM = [0, 0, 0, 0, 1, 1, 1, 1]
const CONTACT = [0, 0, 1, 1, 0, 0, 1, 1]
export const wine: CumulativeLinkRows = {
  category: RATING.flat(),
  design: Float64Array.from(RATING.flatMap(() => WARM.flatMap((warm, i) => [warm, CONTACT[i]!]))),
  groupStart: RATING.map((_, j) => 8 * j).concat(72),
  clusterOf: RATING.map((_, j) => j),
  nClusters: 9,
}
