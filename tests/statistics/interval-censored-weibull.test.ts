import { describe, expect, it } from 'vitest'
import { intervalCensoredWeibull } from '../../src/statistics/interval-censored-weibull.ts'

const left = [0, 2, 3, 5, 1, 4, 6, 2]
const right = [3, 4, null, 8, 1, null, 9, 5]
const z = [0, 1, 0, 1, 1, 0, 1, 0]

describe('intervalCensoredWeibull', () => {
  it('agrees with survreg of R on left-, interval-, right-censored and exact rows', () => {
    // R survival 3.5-3: survreg(Surv(ifelse(left == 0, NA, left), right, type = "interval2") ~ z)
    const fit = intervalCensoredWeibull(left, right, { z })
    const [intercept, slope] = fit.coefficients
    expect(intercept!.estimate).toBeCloseTo(1.5384985394507218, 7)
    expect(slope!.estimate).toBeCloseTo(0.0694404660112523, 7)
    expect(fit.scale).toBeCloseTo(0.536524194830772, 7)
    expect(fit.logLikelihood).toBeCloseTo(-9.42278680613797, 8)
    expect(fit.likelihoodRatio!.chiSquare).toBeCloseTo(2 * (9.43164028883751 - 9.42278680613797), 7)
    expect(intercept!.standardError).toBeCloseTo(0.400000866096107, 6)
    expect(slope!.standardError).toBeCloseTo(0.510386451458859, 6)
    expect(fit.standardErrorOfLogScale).toBeCloseTo(0.393924782002948, 6)
    expect(fit.converged).toBe(true)
  })

  it('is the exponential in closed form where its shape allows: shape and scale of two exact times', () => {
    // Without covariates the score equations say sum of (t / b)^shape = n; checked at the estimate.
    const times = [1, 2, 4, 7, 9]
    const fit = intervalCensoredWeibull(times, times)
    const scale = Math.exp(fit.coefficients[0]!.estimate)
    const total = times.reduce((sum, t) => sum + (t / scale) ** fit.shape, 0)
    expect(total).toBeCloseTo(5, 9)
    expect(fit.baselineMedian.estimate).toBeCloseTo(scale * Math.LN2 ** (1 / fit.shape), 9)
  })

  it('does not mind order; scaling time moves the intercept alone', () => {
    const fit = intervalCensoredWeibull(left, right, { z })
    const reversed = intervalCensoredWeibull(left.toReversed(), right.toReversed(), { z: z.toReversed() })
    const scaled = intervalCensoredWeibull(
      left.map((t) => t * 1000),
      right.map((t) => (t === null ? null : t * 1000)),
      { z },
    )
    const estimates = (f: typeof fit) => [...f.coefficients.map((c) => c.estimate), f.logScale]
    estimates(reversed).forEach((value, j) => {
      expect(value).toBeCloseTo(estimates(fit)[j]!, 8)
    })
    expect(scaled.coefficients[0]!.estimate).toBeCloseTo(fit.coefficients[0]!.estimate + Math.log(1000), 7)
    expect(scaled.coefficients[1]!.estimate).toBeCloseTo(fit.coefficients[1]!.estimate, 7)
  })

  it('drops what is missing, and says what it cannot do', () => {
    const fit = intervalCensoredWeibull([...left, null, 2], [...right, 3, 4], { z: [...z, 1, null] })
    expect([fit.n, fit.nDropped]).toEqual([8, 2])
    expect(() => intervalCensoredWeibull([], [])).toThrow('as many rows as parameters; found 0 rows')
    expect(() => intervalCensoredWeibull([1], [2])).toThrow('1 rows, 2 parameters')
    expect(() => intervalCensoredWeibull([1, 2], [null, null])).toThrow('an event; found all rows censored')
    expect(() => intervalCensoredWeibull([0, 2], [0, 3])).toThrow('exact ones above 0')
    expect(() => intervalCensoredWeibull(left, right, { z: z.map(() => 2) })).toThrow('not collinear')
  })

  it('reports, and does not hide, a likelihood without a maximum', () => {
    // All events at one exact time: the likelihood grows without end as the scale goes to 0.
    expect(intervalCensoredWeibull([3, 3, 3], [3, 3, 3]).converged).toBe(false)
    // One group has all the events, the other none: the difference goes to infinity.
    const separated = intervalCensoredWeibull([1, 2, 3, 4, 5, 6], [2, 3, 4, null, null, null], {
      g: [1, 1, 1, 0, 0, 0],
    })
    expect(separated.converged).toBe(false)
    expect(intervalCensoredWeibull([5, 6], [null, 7]).converged).toBe(false)
  })
})
