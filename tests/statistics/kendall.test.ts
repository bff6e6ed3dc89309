import { describe, expect, it } from 'vitest'
import { denseCodes } from '../../src/statistics/dense-codes.ts'
import { kendall } from '../../src/statistics/kendall.ts'
import { mannWhitneyTest } from '../../src/statistics/mann-whitney.ts'

describe('kendall', () => {
  const y = [2, 1, 4, 3, 5, 9, 7, 8, 6]
  const x = y.map((_, i) => i)

  it('agrees with R without ties', () => {
    // R 4.2.2: cor.test(1:9, y, method = "kendall", exact = TRUE): T = 29, tau 0.6111, p = 0.0247409611993
    const tau = kendall(x, y)
    expect([tau.concordant, tau.discordant, tau.s]).toEqual([29, 7, 22])
    expect(tau.tauB).toBeCloseTo(22 / 36, 12)
    expect(tau.pExact).toBeCloseTo(0.0247409611993, 12)
  })

  it('counts the exact p under ties by listing orderings', () => {
    // y = 1, 1, 2 over x = 1, 2, 3: orderings 112, 121, 211 have S = 2, 0, -2: |S| >= 2 in two of three.
    const tau = kendall([1, 2, 3], [1, 1, 2])
    expect([tau.s, tau.tied, tau.pExact]).toEqual([2, 1, expect.closeTo(2 / 3, 12)])
    // tau-b = 2 / sqrt(3 * 2)
    expect(tau.tauB).toBeCloseTo(2 / Math.sqrt(6), 12)
  })

  it('turns with order and sign, and does not mind shift and scale', () => {
    const tau = kendall(x, y)
    expect(kendall(x.toReversed(), y.toReversed())).toEqual(tau)
    const negative = kendall(
      x,
      y.map((v) => -v),
    )
    expect([negative.s, negative.pExact]).toEqual([-tau.s, tau.pExact])
    const moved = kendall(
      x,
      y.map((v) => 1e-12 * v),
    )
    expect(moved.s).toBe(tau.s)
  })

  it('ties what differs by rounding error only', () => {
    expect(Array.from(denseCodes([0.1 + 0.2, 0.3, 0.31]))).toEqual([0, 0, 1])
    expect(Array.from(denseCodes([Number.POSITIVE_INFINITY, 1, Number.POSITIVE_INFINITY]))).toEqual([1, 0, 1])
  })

  it('holds at the edges', () => {
    const flat = kendall([1, 2, 3], [5, 5, 5])
    expect([flat.s, flat.tauA, flat.tauB, flat.z, flat.pNormal, flat.pExact]).toEqual([
      0,
      0,
      null,
      null,
      null,
      1,
    ])
    const two = kendall([1, 2], [3, 4])
    expect([two.tauB, two.pExact]).toEqual([1, 1])
    expect(kendall([1, null, 3], [1, 2, 4]).nDropped).toBe(1)
    for (const few of [[], [1], [null, 1]]) expect(() => kendall(few, few)).toThrow('two complete pairs')
    expect(() => kendall([1, 2], [1])).toThrow('as many y as x')
    const long = Array.from({ length: 201 }, (_, i) => i)
    expect(kendall(long, long).pExact).toBeNull()
    expect(kendall(long.slice(1), long.slice(1)).pExact).toBeLessThan(1e-300)
  })
})

describe('mannWhitneyTest', () => {
  it('agrees with R without ties, and by listing with them', () => {
    // R 4.2.2: wilcox.test(c(1.1, 2.2, 3.3, 4.4), c(0.5, 2.5, 6, 7, 8)): W = 6, p = 0.412698412698
    const test = mannWhitneyTest([1.1, 2.2, 3.3, 4.4], [0.5, 2.5, 6, 7, 8])
    expect(test.u).toBe(20 - 6)
    expect(test.p).toBeCloseTo(0.412698412698, 11)
    // 1, 1 against 1, 2: midranks 2, 2, 2, 4; the pairs for B have sums 4 (three) and 6 (three): mean 5, all at distance 1.
    expect(mannWhitneyTest([1, 1], [1, 2]).p).toBe(1)
    // 1, 1 against 2, 2: sums 3 (1), 5 (4), 7 (1): two of six.
    expect(mannWhitneyTest([1, 1], [2, 2]).p).toBeCloseTo(2 / 6, 12)
  })

  it('holds at the edges', () => {
    expect(mannWhitneyTest([1], [1]).p).toBe(1)
    expect(mannWhitneyTest([1, null], [2]).nDropped).toBe(1)
    expect(() => mannWhitneyTest([], [1])).toThrow('a value in each sample; found 0 and 1')
    const a = Array.from({ length: 30 }, (_, i) => i)
    const exact = mannWhitneyTest(
      a,
      a.map((v) => v + 5),
      { exactUpTo: 60 },
    )
    const normal = mannWhitneyTest(
      a,
      a.map((v) => v + 5),
    )
    expect(normal.method).toContain('normal')
    expect(Math.abs(exact.p - normal.p)).toBeLessThan(0.003)
  })
})
