import { describe, expect, it } from 'vitest'
import { bootstrapInterval } from '../../src/statistics/bootstrap-interval.ts'
import {
  jackknifeAcceleration,
  orderStatisticQuantile,
  summariseDraws,
} from '../../src/statistics/bootstrap-limits.ts'
import { CannotEstimate } from '../../src/statistics/shared.ts'

// Student (1908), extra hours of sleep.
const sleep = [1.2, 2.4, 1.3, 1.3, 0, 1, 1.8, 0.8, 4.6, 1.4]
const mean = (values: ArrayLike<number>) => Array.from(values).reduce((a, b) => a + b, 0) / values.length

describe('bootstrapInterval', () => {
  it('agrees with R boot on the mean', () => {
    // R boot 1.3-28.1, R = 200000: percentile (0.95, 2.38), BCa (1.05, 2.64), sd 0.3695. A limit of 20,000 draws has
    // a standard error of about 0.01.
    const result = bootstrapInterval(sleep, mean, { draws: 20_000 })
    expect(result.estimate).toBeCloseTo(1.58, 12)
    expect(Math.abs(result.standardError - 0.3695)).toBeLessThan(0.008)
    expect(Math.abs(result.percentile.lower! - 0.95)).toBeLessThan(0.03)
    expect(Math.abs(result.percentile.upper! - 2.38)).toBeLessThan(0.04)
    expect(Math.abs(result.bca.lower! - 1.05)).toBeLessThan(0.04)
    expect(Math.abs(result.bca.upper! - 2.64)).toBeLessThan(0.06)
  })

  it('takes the acceleration from the jackknife: for a mean a sixth of its skew over root n', () => {
    // Jackknife values of a mean differ from it by (mean - x) / (n - 1), so a = sum (x - mean)^3 / (6 (sum (x - mean)^2)^1.5).
    const centre = mean(sleep)
    const third = sleep.reduce((sum, x) => sum + (x - centre) ** 3, 0)
    const second = sleep.reduce((sum, x) => sum + (x - centre) ** 2, 0)
    expect(bootstrapInterval(sleep, mean, { draws: 10 }).acceleration).toBeCloseTo(
      third / (6 * second ** 1.5),
      12,
    )
    expect(jackknifeAcceleration([2, 2, 2])).toBe(0)
    expect(jackknifeAcceleration([2])).toBeNull()
    expect(jackknifeAcceleration([2, Number.NaN])).toBeNull()
  })

  it('repeats itself by seed and key, whatever the order of the values', () => {
    const options = { draws: 200, seed: 4, key: ['moro'] }
    const result = bootstrapInterval(sleep, mean, options)
    expect(bootstrapInterval(sleep.toReversed(), mean, options)).toEqual(result)
    expect(bootstrapInterval(sleep, mean, { ...options, seed: 5 }).percentile).not.toEqual(result.percentile)
    expect(bootstrapInterval(sleep, mean, { ...options, key: ['atnr'] }).percentile).not.toEqual(
      result.percentile,
    )
  })

  it('moves with shift and scale', () => {
    const result = bootstrapInterval(sleep, mean, { draws: 500 })
    const moved = bootstrapInterval(
      sleep.map((x) => 10 * x + 3),
      mean,
      { draws: 500 },
    )
    expect(moved.percentile.lower).toBeCloseTo(10 * result.percentile.lower! + 3, 9)
    expect(moved.bca.upper).toBeCloseTo(10 * result.bca.upper! + 3, 9)
  })

  it('counts draws on which the statistic fails', () => {
    const variance = (values: Float64Array) => {
      const spread = Math.max(...values) - Math.min(...values)
      if (spread === 0) throw new CannotEstimate('spread', 'two values', 'one')
      return spread
    }
    const result = bootstrapInterval([1, 2], variance, { draws: 1000 })
    // Half the resamples of two values are one value twice: 500 with a standard deviation of 16.
    expect(Math.abs(result.failedDraws - 500)).toBeLessThan(80)
    expect(result.bca).toEqual({ lower: null, upper: null, level: 0.95 })
    expect(() =>
      bootstrapInterval([1, 2], () => {
        throw new TypeError('a defect')
      }),
    ).toThrow(TypeError)
  })

  it('drops what is missing, and says what it cannot do', () => {
    const result = bootstrapInterval([1, null, 2, Number.NaN], mean, { draws: 10 })
    expect([result.n, result.nDropped]).toEqual([2, 2])
    for (const values of [[], [1], [null, 3]])
      expect(() => bootstrapInterval(values, mean)).toThrow('bootstrapInterval needs two values')
    expect(() => bootstrapInterval([1, 2], () => Number.NaN)).toThrow('a number on the sample')
    expect(() => bootstrapInterval([1, 2], mean, { draws: 0 })).toThrow('whole number of draws')
    expect(() => bootstrapInterval([1, 2], mean, { level: 95 })).toThrow('level between 0 and 1')
  })

  it('has no width where all values are equal', () => {
    const result = bootstrapInterval([3, 3, 3], mean, { draws: 50 })
    expect([result.percentile.lower, result.percentile.upper, result.standardError]).toEqual([3, 3, 0])
    expect([result.bca.lower, result.bca.upper]).toEqual([3, 3])
  })
})

describe('summariseDraws', () => {
  it('reads limits off order statistics (B + 1) p', () => {
    // Of 1..9 the 0.25 quantile is order statistic 2.5.
    expect(orderStatisticQuantile([1, 2, 3, 4, 5, 6, 7, 8, 9], 0.25)).toBe(2.5)
    expect(orderStatisticQuantile([1, 2], 0.01)).toBe(1)
    expect(orderStatisticQuantile([1, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY], 0.6)).toBe(
      Number.POSITIVE_INFINITY,
    )
  })

  it('leaves BCa undefined where all draws lie to one side', () => {
    const summary = summariseDraws(0, Float64Array.from([1, 2, 3]), 0, 0.95)
    expect(summary.biasCorrection).toBe(Number.NEGATIVE_INFINITY)
    expect(summary.bca.lower).toBeNull()
  })
})
