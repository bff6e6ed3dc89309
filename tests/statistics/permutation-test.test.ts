import { describe, expect, it } from 'vitest'
import { permutationTest, signFlipTest } from '../../src/statistics/permutation-test.ts'

describe('permutationTest', () => {
  it('lists all arrangements, as coin does', () => {
    // R coin 1.4-2: oneway_test(v ~ g, distribution = "exact"), p = 0.535714285714 (30 of 56)
    const test = permutationTest([3, 5, 7], [1, 2, 2, 9, 4])
    expect([test.exact, test.arrangements]).toEqual([true, 56])
    expect(test.p).toBeCloseTo(30 / 56, 12)
    expect(test.statistic).toBeCloseTo(3.6 - 5, 12)
    expect(test.pGreater + test.pLess).toBeGreaterThanOrEqual(1)
  })

  it('comes near the exact p with random arrangements, and repeats itself', () => {
    const exact = permutationTest([3, 5, 7], [1, 2, 2, 9, 4]).p
    const random = permutationTest([3, 5, 7], [1, 2, 2, 9, 4], { exactUpTo: 1, draws: 9999 })
    expect(random.exact).toBe(false)
    expect(Math.abs(random.p - exact)).toBeLessThan(4 * Math.sqrt(0.25 / 9999))
    const reversed = permutationTest([7, 5, 3], [4, 9, 2, 2, 1], { exactUpTo: 1, draws: 9999 })
    expect(reversed.p).toBe(random.p)
  })

  it('moves whole clusters', () => {
    // Two clusters a side: 6 arrangements, the seen one and its mirror are the most extreme.
    const test = permutationTest([1, 1, 2], [5, 5, 6], { cluster: ['a', 'a', 'b', 'c', 'c', 'd'] })
    expect([test.nUnits, test.arrangements, test.p]).toEqual([4, 6, 2 / 6])
    expect(() => permutationTest([1], [2], { cluster: ['a', 'a'] })).toThrow('clusters within one sample')
  })

  it('takes any statistic, and does not mind shift and scale', () => {
    const largest = (a: Float64Array, b: Float64Array) => Math.max(...b) - Math.max(...a)
    const test = permutationTest([1, 2], [3, 4], { statistic: largest })
    // Of 6 splits those with 4 in B against 3 in A give 1 (3 of them hold 4 in B), 2 in A gives 2: |2| in the seen one and its mirror.
    expect(test.p).toBeCloseTo(2 / 6, 12)
    const p = permutationTest([3, 5, 7], [1, 2, 2, 9, 4]).p
    expect(permutationTest([0.3, 0.5, 0.7], [0.1, 0.2, 0.2, 0.9, 0.4]).p).toBeCloseTo(p, 12)
  })

  it('holds at the edges', () => {
    expect(permutationTest([2, 2], [2, 2]).p).toBe(1)
    expect(permutationTest([1, null], [2, Number.NaN]).nDropped).toBe(2)
    expect(() => permutationTest([], [1])).toThrow('a value in each sample; found 0 and 1')
    expect(() => permutationTest([null], [1])).toThrow('a value in each sample')
  })
})

describe('signFlipTest', () => {
  it('lists all signs', () => {
    // 1, 2, 3: sums of signs at least 6 in size: 2 of 8.
    const test = signFlipTest([1, 2, 3])
    expect([test.exact, test.arrangements, test.p, test.pGreater]).toEqual([true, 8, 2 / 8, 1 / 8])
    expect(test.statistic).toBe(2)
    // By clusters {1, 2} and {3} there are 4, and again 2 reach 6.
    expect(signFlipTest([1, 2, 3], { cluster: ['a', 'a', 'b'] }).p).toBe(2 / 4)
  })

  it('holds at the edges', () => {
    expect(signFlipTest([0, 0]).p).toBe(1)
    expect(signFlipTest([5]).p).toBe(1)
    expect(() => signFlipTest([])).toThrow('a difference; found none')
    const many = Array.from({ length: 40 }, (_, i) => (i % 3 === 0 ? -1 : 1))
    const test = signFlipTest(many, { draws: 4999 })
    // 14 of 40 are negative; exact binomial p = 2 P(X <= 14) = 0.0807 (R: binom.test(14, 40)).
    expect(Math.abs(test.p - 0.0807)).toBeLessThan(4 * Math.sqrt((0.08 * 0.92) / 4999))
  })
})
