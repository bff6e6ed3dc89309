import { checkedDraws, keyParts } from './bootstrap-interval.ts'
import { chiSquareUpperTail } from './chi-square-tail.ts'
import { type CensoringIntervals, censoringIntervals } from './innermost-intervals.ts'
import { seededStream } from './seeded-stream.ts'
import { CannotEstimate, type Maybe } from './shared.ts'
import { type Turnbull, turnbull } from './turnbull.ts'

/** Scores of a weighted log-rank test for interval-censored times. */
export type IntervalScores = 'log-rank (Sun)' | 'log-rank (Finkelstein)' | 'Wilcoxon (Peto-Peto)'

export interface TurnbullPermutationTest {
  readonly method: 'permutation test of interval-censored times'
  readonly scores: IntervalScores
  readonly groups: readonly string[]
  readonly n: readonly number[]
  readonly nDropped: number
  readonly nClusters: number
  /** Sum of the scores in each group; above 0 where the event came sooner than in the pooled curve. They add to 0. */
  readonly scoreSums: readonly number[]
  /** Quadratic form of the score sums in their permutation covariance. */
  readonly chiSquare: number
  readonly df: number
  /** By the chi-square limit. */
  readonly pAsymptotic: number
  /** (1 + permutations at least as extreme) / (1 + permutations). */
  readonly pPermutation: number
  readonly permutations: number
}

export interface TurnbullPermutationOptions {
  /** `log-rank (Sun)` unless given. */
  readonly scores?: IntervalScores
  /** Random permutations, 9999 unless given. */
  readonly permutations?: number
  readonly seed?: number | string
  readonly key?: string | readonly (string | number)[]
  /** Cluster of each row; whole clusters change groups. Each row alone unless given. A cluster must lie in one group. */
  readonly cluster?: ArrayLike<string | number>
}

/**
 * Score test that groups share one distribution of interval-censored times: each row's score comes from the pooled Turnbull estimate,
 * and group labels are permuted.
 *
 * With S the pooled survival at the ends of (L, R], the score is (S(L) c(L) - S(R) c(R)) / (S(L) - S(R)): c = log S for Finkelstein's
 * proportional-hazards score; c = minus the sum of jumps p / S(before) for Sun's, which on right-censored data is exactly the log-rank test's;
 * S(L) + S(R) - 1 for Wilcoxon's. Valid where the pattern of visits does not differ between groups; where it does, permuting labels is not.
 *
 * A row with anything missing is dropped and counted.
 *
 * Source: Fay and Shaw (2010) J Stat Softw 36(2) (scores from memory; checked against the log-rank test); Finkelstein (1986)
 * Biometrics 42:845-854; Sun (1996) Stat Med 15:1387-1395.
 *
 * @throws CannotEstimate for fewer than two groups, a cluster in two groups, or scores that are all equal.
 */
export function turnbullPermutationTest(
  left: ArrayLike<Maybe>,
  right: ArrayLike<Maybe>,
  group: ArrayLike<string | null | undefined>,
  options: TurnbullPermutationOptions = {},
): TurnbullPermutationTest {
  const name = 'turnbullPermutationTest'
  if (group.length !== left.length)
    throw new CannotEstimate(name, 'a group a row', `${group.length} for ${left.length}`)
  const permutations = checkedDraws(name, options.permutations ?? 9999)
  const scores = options.scores ?? 'log-rank (Sun)'
  const grouped = Array.from(left, (value, i) => (group[i] === null || group[i] === undefined ? null : value))
  const data = censoringIntervals(name, grouped, right)
  const groups = [...new Set(Array.from(data.row, (row) => group[row]!))].sort()
  if (groups.length < 2) throw new CannotEstimate(name, 'two groups or more', String(groups.length))
  const rowScores = intervalScores(turnbull(data.left, data.right), data, scores)
  const units = unitsOf(data, rowScores, group, groups, options.cluster)
  const observed = statisticOf(units.score, units.group, groups.length)
  const stream = seededStream(options.seed ?? 1, ['Turnbull permutation', ...keyParts(options.key)])
  const labels = units.group.slice()
  let extreme = 1
  for (let b = 0; b < permutations; b++) {
    stream.shuffle(labels)
    if (statisticOf(units.score, labels, groups.length).chiSquare >= observed.chiSquare * (1 - 1e-10))
      extreme++
  }
  return {
    method: 'permutation test of interval-censored times',
    scores,
    groups,
    n: groups.map((own) => data.row.reduce((count, row) => count + Number(group[row] === own), 0)),
    nDropped: data.dropped,
    nClusters: units.score.length,
    scoreSums: observed.sums,
    chiSquare: observed.chiSquare,
    df: groups.length - 1,
    pAsymptotic: chiSquareUpperTail(observed.chiSquare, groups.length - 1),
    pPermutation: extreme / (permutations + 1),
    permutations,
  }
}

/** The score of each observation under the pooled estimate of survival, in the order of the data: what the test sums by group. */
export function intervalScores(
  pooled: Turnbull,
  data: Pick<CensoringIntervals, 'left' | 'right'>,
  scores: IntervalScores,
): Float64Array {
  // Survival and its score after the first k intervals with mass.
  const survival = [1]
  const curve = [0]
  let hazard = 0
  const total = pooled.intervals.at(-1)!.cumulative
  pooled.intervals.forEach((interval, k) => {
    const before = survival[k]!
    const last = k === pooled.intervals.length - 1
    const after = last ? 0 : 1 - interval.cumulative / total
    hazard += (before - after) / before
    survival.push(after)
    curve.push(scores === 'log-rank (Finkelstein)' ? (last ? 0 : Math.log(after)) : -hazard)
  })
  return data.left.map((left, i) => {
    const right = data.right[i]!
    const [first, last] = coveredRun(pooled, left, right)
    const before = survival[first]!
    const after = survival[last]!
    if (scores === 'Wilcoxon (Peto-Peto)') return before + after - 1
    return (before * curve[first]! - after * curve[last]!) / (before - after)
  })
}

/** Intervals with mass that an observation covers, as how many come before it and how many up to its end. */
function coveredRun(pooled: Turnbull, left: number, right: number): [number, number] {
  const exact = left === right
  let first = 0
  let last = 0
  for (const interval of pooled.intervals) {
    const startsBefore = interval.left < left || (interval.left === left && interval.exact && !exact)
    if (startsBefore || (exact && interval.right < left)) first++
    if (interval.right <= right) last++
  }
  return [first, Math.max(first, last)]
}

function unitsOf(
  data: CensoringIntervals,
  scores: Float64Array,
  group: ArrayLike<string | null | undefined>,
  groups: readonly string[],
  cluster: ArrayLike<string | number> | undefined,
): { readonly score: Float64Array; readonly group: Int32Array } {
  const units = new Map<string, { score: number; group: number }>()
  data.row.forEach((row, i) => {
    const name = cluster === undefined ? `${row}` : `${typeof cluster[row]} ${cluster[row]}`
    const own = groups.indexOf(group[row]!)
    const unit = units.get(name)
    if (unit === undefined) units.set(name, { score: scores[i]!, group: own })
    else if (unit.group !== own)
      throw new CannotEstimate('turnbullPermutationTest', 'clusters within one group', `one in two`)
    else unit.score += scores[i]!
  })
  // In order of score, so that the order of the rows has no say in what is drawn.
  const sorted = [...units.values()].sort((a, b) => a.score - b.score || a.group - b.group)
  return {
    score: Float64Array.from(sorted, (unit) => unit.score),
    group: Int32Array.from(sorted, (unit) => unit.group),
  }
}

/** Score sums and their quadratic form in the covariance over all permutations of the labels. */
function statisticOf(
  score: Float64Array,
  group: Int32Array,
  k: number,
): { readonly sums: number[]; readonly chiSquare: number } {
  const n = score.length
  const mean = score.reduce((a, b) => a + b, 0) / n
  const sums = new Array<number>(k).fill(0)
  const sizes = new Array<number>(k).fill(0)
  let squares = 0
  for (let i = 0; i < n; i++) {
    sums[group[i]!]! += score[i]!
    sizes[group[i]!]!++
    squares += (score[i]! - mean) ** 2
  }
  // With covariance proportional to diag(n) - n n' / N the quadratic form is a sum of squared centred means.
  let between = 0
  for (let g = 0; g < k; g++) between += (sums[g]! - sizes[g]! * mean) ** 2 / sizes[g]!
  if (!(squares > 1e-20 * n))
    throw new CannotEstimate('turnbullPermutationTest', 'scores that differ', 'all equal')
  return { sums, chiSquare: ((n - 1) * between) / squares }
}
