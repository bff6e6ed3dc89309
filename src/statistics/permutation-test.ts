import { checkedDraws, keyParts } from './bootstrap-interval.ts'
import { seededStream } from './seeded-stream.ts'
import { CannotEstimate, isKnown, type Maybe } from './shared.ts'

export interface PermutationTest {
  readonly method: 'permutation test' | 'sign-flip test'
  /** True where all arrangements were listed, false where they were drawn at random. */
  readonly exact: boolean
  readonly statistic: number
  readonly n: number
  readonly nDropped: number
  /** Clusters, or values where there are none. */
  readonly nUnits: number
  readonly arrangements: number
  /** Two-sided: share of arrangements with |statistic| at least as large; drawn at random, (1 + count) / (1 + draws). */
  readonly p: number
  readonly pGreater: number
  readonly pLess: number
}

export interface PermutationOptions {
  /** Statistic of the two samples; mean of the second less mean of the first unless given. It should be 0 where they are alike. */
  readonly statistic?: (first: Float64Array, second: Float64Array) => number
  /** Lists all arrangements where there are no more than this many; 20,000 unless given. */
  readonly exactUpTo?: number
  /** Random arrangements otherwise, 9999 unless given. */
  readonly draws?: number
  readonly seed?: number | string
  readonly key?: string | readonly (string | number)[]
  /** Cluster of each value, those of `first` before those of `second`; whole clusters change samples. A cluster must lie in one sample. */
  readonly cluster?: ArrayLike<string | number>
}

interface Unit {
  readonly values: number[]
  readonly second: boolean
}

/**
 * Permutation test that two samples come from one law, by any statistic of the two; of single values or of whole clusters.
 *
 * Missing values are dropped and counted. Exact where all arrangements can be listed, otherwise by random ones, seeded.
 *
 * Source: Phipson and Smyth (2010) Stat Appl Genet Mol Biol 9:39 for the p of random permutations.
 *
 * @throws CannotEstimate where either sample is empty, or a cluster lies in both.
 */
export function permutationTest(
  first: ArrayLike<Maybe>,
  second: ArrayLike<Maybe>,
  options: PermutationOptions = {},
): PermutationTest {
  const { units, dropped } = unitsOf(first, second, options.cluster)
  const nSecond = units.filter((unit) => unit.second).length
  if (nSecond === 0 || nSecond === units.length)
    throw new CannotEstimate(
      'permutationTest',
      'a value in each sample',
      `${units.length - nSecond} and ${nSecond}`,
    )
  const statistic = options.statistic ?? meanDifference
  const evaluate = (chosen: Uint8Array) => {
    const split: [number[], number[]] = [[], []]
    units.forEach((unit, i) => {
      for (const value of unit.values) split[chosen[i]!]!.push(value)
    })
    return statistic(Float64Array.from(split[0]), Float64Array.from(split[1]))
  }
  const actual = Uint8Array.from(units, (unit) => Number(unit.second))
  const all = binomial(units.length, nSecond)
  const exact = all <= (options.exactUpTo ?? 20_000)
  const draws = checkedDraws('permutationTest', options.draws ?? 9999)
  const tally = newTally(evaluate(actual), exact)
  if (exact) forEachChoice(units.length, nSecond, (chosen) => tally.add(evaluate(chosen)))
  else {
    const stream = seededStream(options.seed ?? 1, ['permutation', ...keyParts(options.key)])
    for (let b = 0; b < draws; b++) tally.add(evaluate(stream.shuffle(actual)))
  }
  return {
    method: 'permutation test',
    exact,
    n: units.reduce((sum, unit) => sum + unit.values.length, 0),
    nDropped: dropped,
    nUnits: units.length,
    ...tally.result(),
  }
}

/**
 * Sign-flip test that paired differences are symmetric about 0: every difference may as well have had the other sign.
 * Differences of one cluster flip together. Missing values are dropped and counted. Statistic: the mean difference.
 *
 * Source: Fisher (1935) The Design of Experiments, section 21.
 *
 * @throws CannotEstimate where no difference is left.
 */
export function signFlipTest(
  differences: ArrayLike<Maybe>,
  options: Omit<PermutationOptions, 'statistic'> = {},
): PermutationTest {
  const { units, dropped } = unitsOf(differences, [], options.cluster)
  if (units.length === 0) throw new CannotEstimate('signFlipTest', 'a difference', 'none')
  const n = units.reduce((sum, unit) => sum + unit.values.length, 0)
  const sums = Float64Array.from(units, (unit) => unit.values.reduce((a, b) => a + b, 0))
  const evaluate = (flips: Uint8Array) =>
    sums.reduce((total, sum, i) => total + (flips[i] === 1 ? -sum : sum), 0) / n
  const exact = units.length < 31 && 2 ** units.length <= (options.exactUpTo ?? 20_000)
  const draws = checkedDraws('signFlipTest', options.draws ?? 9999)
  const flips = new Uint8Array(units.length)
  const tally = newTally(evaluate(flips), exact)
  const stream = seededStream(options.seed ?? 1, ['sign flip', ...keyParts(options.key)])
  for (let b = 0; b < (exact ? 2 ** units.length : draws); b++) {
    for (let i = 0; i < flips.length; i++) flips[i] = exact ? (b >>> i) & 1 : stream.word() >>> 31
    tally.add(evaluate(flips))
  }
  return { method: 'sign-flip test', exact, n, nDropped: dropped, nUnits: units.length, ...tally.result() }
}

function newTally(observed: number, exact: boolean) {
  const slack = 1e-10 * Math.abs(observed)
  let arrangements = 0
  // Of random arrangements the one that was seen counts as well.
  const own = exact ? 0 : 1
  let extreme = own
  let greater = own
  let less = own
  return {
    add: (value: number) => {
      arrangements++
      if (Math.abs(value) >= Math.abs(observed) - slack) extreme++
      if (value >= observed - slack) greater++
      if (value <= observed + slack) less++
    },
    result: () => {
      const all = arrangements + own
      return {
        statistic: observed,
        arrangements,
        p: extreme / all,
        pGreater: greater / all,
        pLess: less / all,
      }
    },
  }
}

function unitsOf(
  first: ArrayLike<Maybe>,
  second: ArrayLike<Maybe>,
  cluster: ArrayLike<string | number> | undefined,
): { readonly units: Unit[]; readonly dropped: number } {
  const length = first.length + second.length
  if (cluster !== undefined && cluster.length !== length)
    throw new CannotEstimate('permutationTest', 'a cluster a value', `${cluster.length} for ${length}`)
  const byName = new Map<string, Unit>()
  let dropped = 0
  for (let i = 0; i < length; i++) {
    const isSecond = i >= first.length
    const value = isSecond ? second[i - first.length] : first[i]
    if (!isKnown(value)) {
      dropped++
      continue
    }
    const name = cluster === undefined ? `${i}` : `${typeof cluster[i]} ${cluster[i]}`
    const unit = byName.get(name)
    if (unit === undefined) byName.set(name, { values: [value], second: isSecond })
    else if (unit.second !== isSecond)
      throw new CannotEstimate('permutationTest', 'clusters within one sample', 'one in both')
    else unit.values.push(value)
  }
  const units = [...byName.entries()]
  // In order of value (or of cluster name), so that the order of the rows has no say in what is drawn.
  if (cluster === undefined)
    units.sort((a, b) => a[1].values[0]! - b[1].values[0]! || Number(a[1].second) - Number(b[1].second))
  else units.sort((a, b) => (a[0] < b[0] ? -1 : 1))
  return { units: units.map(([, unit]) => unit), dropped }
}

function meanDifference(first: Float64Array, second: Float64Array): number {
  const mean = (values: Float64Array) => values.reduce((a, b) => a + b, 0) / values.length
  return mean(second) - mean(first)
}

function binomial(n: number, k: number): number {
  let ways = 1
  for (let i = 1; i <= Math.min(k, n - k); i++) ways = (ways * (n - i + 1)) / i
  return Math.round(ways)
}

/** Calls with every way to mark `size` of `n` places by 1. */
function forEachChoice(n: number, size: number, visit: (chosen: Uint8Array) => void): void {
  const chosen = new Uint8Array(n)
  const place = (from: number, left: number): void => {
    if (left === 0) {
      visit(chosen)
      return
    }
    for (let i = from; i <= n - left; i++) {
      chosen[i] = 1
      place(i + 1, left - 1)
      chosen[i] = 0
    }
  }
  place(0, size)
}
