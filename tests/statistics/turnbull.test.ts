import { describe, expect, it } from 'vitest'
import { kaplanMeier, survivalAtTime } from '../../src/statistics/kaplan-meier.ts'
import { seededStream } from '../../src/statistics/seeded-stream.ts'
import { type Turnbull, turnbull, turnbullQuantile, turnbullSurvival } from '../../src/statistics/turnbull.ts'

// Finkelstein and Wolfe (1985), months to cosmetic deterioration, radiotherapy alone; null is right-censored.
const left = [
  0, 0, 0, 4, 5, 5, 6, 7, 7, 11, 11, 17, 17, 18, 19, 25, 26, 27, 36, 36, 37, 15, 17, 18, 22, 24, 24, 32, 33,
  34, 36, 36, 37, 37, 37, 38, 40, 45, 46, 46, 46, 46, 46, 46, 46, 46,
]
const right = [
  5,
  7,
  8,
  11,
  11,
  12,
  10,
  14,
  16,
  15,
  18,
  25,
  25,
  26,
  35,
  37,
  40,
  34,
  44,
  48,
  44,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
  null,
]

const bounds = (estimate: Turnbull) => estimate.intervals.map((i) => [i.left, i.right])

/** Largest gradient of the likelihood over every place on the line, and least over places with mass, by the definition. */
function kuhnTucker(from: readonly number[], to: readonly number[], estimate: Turnbull) {
  const covers = (l: number, r: number, a: number, b: number, exact: boolean) =>
    l === r ? exact && a === l : (exact ? l < a : l <= a) && r >= b
  const probability = from.map((l, i) =>
    estimate.intervals.reduce(
      (sum, k) => sum + (covers(l, to[i]!, k.left, k.right, k.exact) ? k.mass : 0),
      0,
    ),
  )
  const slope = (a: number, b: number, exact: boolean) =>
    from.reduce((sum, l, i) => sum + (covers(l, to[i]!, a, b, exact) ? 1 / probability[i]! : 0), 0) /
    from.length
  const levels = [...new Set([...from, ...to])].sort((a, b) => (a === b ? 0 : a < b ? -1 : 1))
  const everywhere = levels.flatMap((level, k) => [
    slope(level, level, true),
    ...(k + 1 < levels.length ? [slope(level, levels[k + 1]!, false)] : []),
  ])
  return {
    largest: Math.max(...everywhere),
    atMass: estimate.intervals.map((k) => slope(k.left, k.right, k.exact)),
  }
}

describe('turnbull', () => {
  it('gives the masses of R on the published breast cosmesis data', () => {
    const estimate = turnbull(left, right)
    // npsurv 0.5-0 and an EM run to 1e-14; the regions are those printed by Finkelstein and Wolfe.
    expect(bounds(estimate)).toEqual([
      [4, 5],
      [6, 7],
      [7, 8],
      [11, 12],
      [24, 25],
      [33, 34],
      [38, 40],
      [46, 48],
    ])
    const masses = [0.046346773992894, 0.033363370934642, 0.088667368062708, 0.070752921792364]
    masses.push(0.092645836585013, 0.08178576490255, 0.120879827353685, 0.465558136375986)
    estimate.intervals.forEach((interval, j) => {
      expect(interval.mass).toBeCloseTo(masses[j]!, 11)
    })
    expect(estimate.logLikelihood).toBeCloseTo(-58.06002195399142, 10)
    expect(estimate.median).toEqual({ left: 38, right: 40 })
  })

  it('is Kaplan-Meier where all rows are exact or right-censored', () => {
    const stream = seededStream(5, 'right-censored')
    const time = Array.from({ length: 60 }, () => stream.below(20) + 1)
    const event = time.map(() => stream.below(3) > 0)
    const estimate = turnbull(
      time,
      time.map((t, i) => (event[i] ? t : null)),
    )
    const curve = kaplanMeier(time, event)
    for (let at = 0; at <= curve.lastFollowUp; at++)
      expect(turnbullSurvival(estimate, at).lowest).toBeCloseTo(survivalAtTime(curve, at)!, 10)
  })

  it('meets the Kuhn-Tucker conditions, which only the maximum does, on 200 random sets', () => {
    const stream = seededStream(6, 'kuhn-tucker')
    for (let set = 0; set < 200; set++) {
      const n = 1 + stream.below(25)
      const span = 2 + stream.below(30)
      const from = Array.from({ length: n }, () => stream.below(span))
      const to = from.map((l) => (stream.below(5) === 0 ? Number.POSITIVE_INFINITY : l + stream.below(6)))
      const estimate = turnbull(from, to)
      const { largest, atMass } = kuhnTucker(from, to, estimate)
      expect(largest).toBeLessThan(1 + 1e-8)
      for (const value of atMass) expect(value).toBeCloseTo(1, 7)
      expect(estimate.intervals.at(-1)!.cumulative).toBeCloseTo(1, 12)
      expect(estimate.converged).toBe(true)
    }
  })

  it('bounds the survival inside an interval with mass', () => {
    // One row in (2, 6]: all mass there, nothing known inside.
    const estimate = turnbull([2], [6])
    expect(turnbullSurvival(estimate, 2)).toEqual({ at: 2, survival: 1, lowest: 1, highest: 1 })
    expect(turnbullSurvival(estimate, 4)).toEqual({ at: 4, survival: null, lowest: 0, highest: 1 })
    expect(turnbullSurvival(estimate, 6)).toEqual({ at: 6, survival: 0, lowest: 0, highest: 0 })
    expect(turnbullQuantile(estimate, 0.9)).toEqual({ left: 2, right: 6 })
    expect(() => turnbullQuantile(estimate, 1)).toThrow('between 0 and 1')
  })

  it('does not mind order and moves with the time axis', () => {
    const estimate = turnbull(left, right)
    const reversed = turnbull(left.toReversed(), right.toReversed())
    expect(bounds(reversed)).toEqual(bounds(estimate))
    const moved = turnbull(
      left.map((t) => 30 * t + 7),
      right.map((t) => (t === null ? null : 30 * t + 7)),
    )
    expect(bounds(moved)).toEqual(bounds(estimate).map((ends) => ends.map((t) => 30 * t! + 7)))
    moved.intervals.forEach((interval, j) => {
      expect(interval.mass).toBeCloseTo(estimate.intervals[j]!.mass, 12)
      expect(reversed.intervals[j]!.mass).toBeCloseTo(estimate.intervals[j]!.mass, 12)
    })
  })

  it('drops what is missing, and says what it cannot do', () => {
    const estimate = turnbull([1, null, Number.NaN, 3], [2, 4, 5, Number.NaN])
    expect([estimate.n, estimate.nDropped]).toEqual([1, 3])
    expect(() => turnbull([], [])).toThrow('turnbull needs an interval; found none')
    expect(() => turnbull([null], [2])).toThrow('an interval')
    expect(() => turnbull([3], [2])).toThrow('left at most right')
    expect(() => turnbull([1, 2], [2])).toThrow('as many right ends as left')
  })

  it('holds at the edges: all right-censored, all equal, extreme times', () => {
    const censored = turnbull([3, 5], [null, Number.POSITIVE_INFINITY])
    expect(bounds(censored)).toEqual([[5, Number.POSITIVE_INFINITY]])
    expect(censored.median.right).toBe(Number.POSITIVE_INFINITY)
    expect(bounds(turnbull([2, 2, 2], [2, 2, 2]))).toEqual([[2, 2]])
    const extreme = turnbull([0, 1e-300, 1e300], [1e-300, 1e300, null])
    expect(extreme.intervals.map((i) => i.mass)).toEqual([
      expect.closeTo(1 / 3),
      expect.closeTo(1 / 3),
      expect.closeTo(1 / 3),
    ])
  })

  it('takes 10,000 intervals in under 2 s', () => {
    const stream = seededStream(8, 'many')
    const from: number[] = []
    const to: number[] = []
    for (let i = 0; i < 10_000; i++) {
      const event = -100 * Math.log(stream.uniform())
      let visit = 0
      let next = 30 * stream.uniform()
      while (next < event && next < 400) {
        visit = next
        next += 20 + 20 * stream.uniform()
      }
      from.push(visit)
      to.push(next < 400 ? next : Number.POSITIVE_INFINITY)
    }
    // Processor time: other work on the machine is not ours to fail by.
    const start = process.cpuUsage()
    const estimate = turnbull(from, to)
    expect(process.cpuUsage(start).user / 1e6).toBeLessThan(2)
    expect(estimate.kuhnTuckerExcess).toBeLessThan(1e-9)
  })
})
