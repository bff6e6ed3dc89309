import { describe, expect, it } from 'vitest'
import { roundHalfToEven, theilSen } from '../../src/statistics/theil-sen.ts'

describe('theilSen', () => {
  it('is the median of pair slopes, by hand', () => {
    // x 1..5, y 2 1 4 3 5: slopes sorted -1 -1 1/3 1/2 3/4 1 1 1 2 3: median (3/4 + 1) / 2.
    const line = theilSen([1, 2, 3, 4, 5], [2, 1, 4, 3, 5])
    expect(line.slope).toBe(0.875)
    expect(line.nSlopes).toBe(10)
    // var S = 5*4*15/18 = 16.667, C = 1.96 * 4.082 = 8.0: ranks round(1.0) = 1 and round(9.0) + 1 = 10.
    expect([line.interval.lower, line.interval.upper]).toEqual([-1, 3])
    expect(line.interceptFromMedians).toBeCloseTo(3 - 0.875 * 3, 12)
    // Residuals 1.125 -0.75 1.375 -0.5 0.625: median 0.625.
    expect(line.interceptMedianResidual).toBeCloseTo(0.625, 12)
  })

  it("gives the interval of Sen's own example", () => {
    // Sen (1968) section 6, from memory: x 1 2 3 4 10 12 18, y 9 15 19 20 45 55 78; slope 4, 93 % interval (26/7, 35/8).
    const line = theilSen([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78], { level: 0.93 })
    expect(line.slope).toBe(4)
    expect(line.interval.lower).toBeCloseTo(26 / 7, 12)
    expect(line.interval.upper).toBeCloseTo(35 / 8, 12)
  })

  it('turns with order, shift and scale', () => {
    const x = [0, 1, 3, 4, 7]
    const y = [5, 3, 4, 1, 2]
    const line = theilSen(x, y)
    expect(theilSen(x.toReversed(), y.toReversed())).toEqual(line)
    const moved = theilSen(
      x.map((v) => 2 * v + 9),
      y.map((v) => 6 * v - 4),
    )
    expect(moved.slope).toBeCloseTo(3 * line.slope, 12)
    expect(moved.interval.upper).toBeCloseTo(3 * line.interval.upper!, 12)
  })

  it('holds at the edges', () => {
    const two = theilSen([1, 2], [3, 5])
    expect([two.slope, two.interval.lower, two.interval.upper]).toEqual([2, -Infinity, Infinity])
    expect(theilSen([1, 2, 3], [4, 4, 4]).slope).toBe(0)
    expect(theilSen([1, 1, 2], [1, 3, 5]).nSlopes).toBe(2)
    expect(theilSen([1, 2, null], [1, 2, 3]).nDropped).toBe(1)
    for (const few of [[], [1], [null, 2]]) expect(() => theilSen(few, few)).toThrow('two complete rows')
    expect(() => theilSen([1, 1], [2, 3])).toThrow('two different x; found all x equal')
    expect(theilSen([0, 1e300], [0, 1e-300]).slope).toBe(0)
  })

  it('rounds halves to even, as IEEE 754', () => {
    expect([0.5, 1.5, 2.5, -1.5, -2.5, 2.4].map(roundHalfToEven)).toEqual([0, 2, 2, -2, -2, 2])
  })
})
