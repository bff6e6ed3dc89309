import { describe, expect, it } from 'vitest'
import { logRankTest } from '../../src/statistics/log-rank.ts'
import { seededStream } from '../../src/statistics/seeded-stream.ts'
import { turnbull } from '../../src/statistics/turnbull.ts'
import { turnbullBootstrap } from '../../src/statistics/turnbull-bootstrap.ts'
import { intervalScores, turnbullPermutationTest } from '../../src/statistics/turnbull-permutation-test.ts'

/** Visits every 20 to 40 days to a time with median 100 ln 2 (times `slowing`). */
function clinic(n: number, key: string, slowing = 1) {
  const stream = seededStream(11, key)
  const left: number[] = []
  const right: (number | null)[] = []
  for (let i = 0; i < n; i++) {
    const event = -100 * slowing * Math.log(stream.uniform())
    let visit = 0
    let next = Math.ceil(30 * stream.uniform())
    while (next < event && next < 365) {
      visit = next
      next += 20 + stream.below(21)
    }
    left.push(visit)
    right.push(next < 365 ? next : null)
  }
  return { left, right }
}

describe('turnbullBootstrap', () => {
  it('is the percentile bootstrap of the estimate, done by hand', () => {
    const { left, right } = clinic(40, 'by hand')
    const result = turnbullBootstrap(left, right, { draws: 199, at: [60] })
    const order = Array.from(left.keys()).sort(
      (a, b) => left[a]! - left[b]! || (right[a] ?? Infinity) - (right[b] ?? Infinity) || 0,
    )
    const stream = seededStream(1, ['Turnbull bootstrap'])
    const middles: number[] = []
    for (let b = 0; b < 199; b++) {
      const rows = order.map(() => order[stream.below(40)]!)
      const { median } = turnbull(
        rows.map((i) => left[i]!),
        rows.map((i) => right[i]),
      )
      middles.push((median.left + median.right) / 2)
    }
    middles.sort((a, b) => a - b)
    // (199 + 1) * 0.025 = 5th and 195th in order, widened to the region of the median itself.
    expect(result.median.interval.lower).toBe(Math.min(result.median.left, middles[4]!))
    expect(result.median.interval.upper).toBe(Math.max(result.median.right, middles[194]!))
    expect(result.survival[0]!.interval.lower).toBeLessThanOrEqual(result.survival[0]!.lowest)
    expect(result.survival[0]!.interval.upper).toBeGreaterThanOrEqual(result.survival[0]!.highest)
  })

  it('is wider when the rows of a client move together, and does not mind row order', () => {
    const { left, right } = clinic(40, 'clusters')
    const twice = { left: [...left, ...left], right: [...right, ...right] }
    const cluster = [...left.keys(), ...left.keys()]
    const apart = turnbullBootstrap(twice.left, twice.right, { draws: 299 }).median.interval
    const together = turnbullBootstrap(twice.left, twice.right, { draws: 299, cluster }).median.interval
    expect(together.upper! - together.lower!).toBeGreaterThan(apart.upper! - apart.lower!)
    const reversed = turnbullBootstrap(twice.left.toReversed(), twice.right.toReversed(), {
      draws: 299,
      cluster: cluster.toReversed(),
    })
    expect(reversed.median.interval).toEqual(together)
    expect(reversed.nClusters).toBe(40)
  })

  it('never claims to know the median better than the visits do', () => {
    // All seen on days 0, 84 and 168: the median lies in (84, 168] and no resample says more.
    const left = [...Array(5).fill(0), ...Array(40).fill(84)]
    const right = left.map((day) => day + 84)
    const { median } = turnbullBootstrap(left, right, { draws: 99 })
    expect([median.interval.lower, median.interval.upper]).toEqual([84, 168])
  })

  it('says when the median is not reached, and what it cannot do', () => {
    const result = turnbullBootstrap([5, 6, 7, 2], [null, null, null, 3], { draws: 99 })
    expect(result.median.right).toBe(Infinity)
    expect(result.median.interval.upper).toBe(Infinity)
    expect(result.median.notReached).toBeGreaterThan(0.5)
    expect(() => turnbullBootstrap([1], [2])).toThrow('two clusters; found 1')
    expect(() => turnbullBootstrap([null, null], [2, 3])).toThrow('two clusters; found 0')
    expect(() => turnbullBootstrap([1, 2], [2, 3], { cluster: ['a'] })).toThrow('a cluster a row')
  })
})

describe('turnbullPermutationTest', () => {
  const time = [6, 6, 6, 7, 10, 1, 2, 3, 4, 5, 5, 8]
  const event = [1, 1, 0, 1, 0, 1, 1, 1, 1, 1, 0, 1]
  const ends = time.map((t, i) => (event[i] === 1 ? t : null))
  const group = [...'aaaaabbbbbbb']

  it("is coin's log-rank permutation test on right-censored rows", () => {
    // R coin 1.4-2: logrank_test(Surv(time, event) ~ group): chi-square 3.06947591349123, p 0.0797751862180465, exact p 0.07702.
    const test = turnbullPermutationTest(time, ends, group, { permutations: 20_000 })
    expect(test.chiSquare).toBeCloseTo(3.06947591349123, 10)
    expect(test.pAsymptotic).toBeCloseTo(0.0797751862180465, 10)
    expect(Math.abs(test.pPermutation - 0.07702)).toBeLessThan(4 * Math.sqrt((0.077 * 0.923) / 20_000))
    // Its score sum is the log-rank test's observed minus expected.
    const logRank = logRankTest(time, event, group)
    expect(test.scoreSums[0]).toBeCloseTo(logRank.observed[0]! - logRank.expected[0]!, 10)
  })

  it("has Finkelstein's scores: the slope of the proportional-hazards likelihood at no effect", () => {
    const { left, right } = clinic(30, 'scores')
    const pooled = turnbull(left, right)
    const survival = (t: number | null) =>
      pooled.intervals.reduce((sum, k) => sum + (t !== null && k.right > t ? k.mass : 0), 0)
    const data = { left: Float64Array.from(left), right: Float64Array.from(right, (r) => r ?? Infinity) }
    const scores = intervalScores(pooled, data, 'log-rank (Finkelstein)')
    left.forEach((l, i) => {
      const log = (beta: number) =>
        Math.log(survival(l) ** Math.exp(beta) - survival(right[i]!) ** Math.exp(beta))
      expect(scores[i]).toBeCloseTo((log(1e-5) - log(-1e-5)) / 2e-5, 6)
    })
  })

  it('finds a slower group, by the same scores in any order', () => {
    const fast = clinic(60, 'fast')
    const slow = clinic(60, 'slow', 2.5)
    const left = [...fast.left, ...slow.left]
    const right = [...fast.right, ...slow.right]
    const groups = left.map((_, i) => (i < 60 ? 'fast' : 'slow'))
    for (const scores of ['log-rank (Sun)', 'log-rank (Finkelstein)', 'Wilcoxon (Peto-Peto)'] as const) {
      const test = turnbullPermutationTest(left, right, groups, { scores, permutations: 999 })
      expect(test.pPermutation).toBeLessThan(0.01)
      expect(test.scoreSums[0]).toBeGreaterThan(0)
      expect(test.scoreSums[0]! + test.scoreSums[1]!).toBeCloseTo(0, 8)
    }
    const test = turnbullPermutationTest(left, right, groups, { permutations: 99 })
    const reversed = turnbullPermutationTest(left.toReversed(), right.toReversed(), groups.toReversed(), {
      permutations: 99,
    })
    expect(reversed.chiSquare).toBeCloseTo(test.chiSquare, 9)
    expect(reversed.pPermutation).toBe(test.pPermutation)
  })

  it('moves whole clusters, and says what it cannot do', () => {
    const cluster = ['p', 'p', 'q', 'q', 'r', 's', 's', 't', 't', 'u', 'u', 'v']
    const test = turnbullPermutationTest(time, ends, group, { cluster, permutations: 99 })
    expect(test.nClusters).toBe(7)
    const mixed = [...cluster]
    mixed[5] = 'r'
    expect(() => turnbullPermutationTest(time, ends, group, { cluster: mixed })).toThrow(
      'clusters within one group',
    )
    expect(() => turnbullPermutationTest([1, 2], [2, 3], ['a', 'a'])).toThrow('two groups or more; found 1')
    expect(() => turnbullPermutationTest([], [], [])).toThrow('two groups or more; found 0')
    expect(() => turnbullPermutationTest([1, 1], [2, 2], ['a', 'b'])).toThrow('scores that differ')
    expect(
      turnbullPermutationTest([...time, null], [...ends, 2], [...group, 'a'], { permutations: 9 }).nDropped,
    ).toBe(1)
  })
})
