import { describe, expect, it } from 'vitest'
import { medianBootstrap } from '../../src/statistics/median-bootstrap.ts'

describe('medianBootstrap', () => {
  it('has the law of listing all resamples', () => {
    for (const values of [
      [1, 2, 4],
      [1, 2, 4, 8],
      [1, 1, 2, 5],
    ]) {
      const n = values.length
      const counts = new Map<number, number>()
      for (let code = 0; code < n ** n; code++) {
        const draw = Array.from({ length: n }, (_, i) => values[Math.floor(code / n ** i) % n]!).sort(
          (a, b) => a - b,
        )
        const median = n % 2 === 1 ? draw[(n - 1) / 2]! : (draw[n / 2 - 1]! + draw[n / 2]!) / 2
        counts.set(median, (counts.get(median) ?? 0) + 1)
      }
      const { law } = medianBootstrap(values)
      expect(law.value).toEqual([...counts.keys()].sort((a, b) => a - b))
      law.value.forEach((value, i) => {
        expect(law.probability[i]).toBeCloseTo(counts.get(value)! / n ** n, 12)
      })
    }
  })

  it('convolves two samples', () => {
    // Medians of {0, 2}: 0, 1, 2 with 1/4, 1/2, 1/4; of {0, 10}: 0, 5, 10 alike. Differences and their chances:
    const { law, estimate } = medianBootstrap([0, 2], [0, 10])
    expect(estimate).toBe(-4)
    expect(law.value).toEqual([-10, -9, -8, -5, -4, -3, 0, 1, 2])
    const sixteenths = [1, 2, 1, 2, 4, 2, 1, 2, 1]
    law.probability.forEach((p, i) => {
      expect(p).toBeCloseTo(sixteenths[i]! / 16, 12)
    })
  })

  it('agrees with the exact law computed in R for the hours of sleep of Student (1908)', () => {
    const result = medianBootstrap([1.2, 2.4, 1.3, 1.3, 0, 1, 1.8, 0.8, 4.6, 1.4])
    expect(result.standardError).toBeCloseTo(0.22857878408149182, 10)
    expect(result.percentile).toEqual({ lower: 1, upper: 1.9, level: 0.95 })
    expect(result.strict.biasCorrection).toBeCloseTo(-0.39814607291744875, 9)
    expect(result.strict.bca).toEqual({ lower: 0.8, upper: 1.55, level: 0.95 })
    expect(result.halfTies.bca).toEqual({ lower: 1, upper: 1.9, level: 0.95 })
  })

  it('holds at the edges', () => {
    const same = medianBootstrap([2, 2, 2])
    expect([same.percentile.lower, same.percentile.upper, same.standardError]).toEqual([2, 2, 0])
    expect(same.strict.bca.lower).toBeNull() // nothing lies strictly below
    expect(same.halfTies.bca).toEqual({ lower: 2, upper: 2, level: 0.95 })
    expect(medianBootstrap([1, null, 2]).nDropped).toBe(1)
    for (const values of [[], [1], [null]])
      expect(() => medianBootstrap(values)).toThrow('from 2 to 1,000 values')
    expect(() => medianBootstrap([1, 2], [3])).toThrow('found 1')
    const up = medianBootstrap([3, 1, 2, 7])
    expect(medianBootstrap([7, 2, 1, 3])).toEqual(up)
    const moved = medianBootstrap([36, 16, 26, 76])
    expect(moved.percentile.lower).toBe(10 * up.percentile.lower! + 6)
  })
})
