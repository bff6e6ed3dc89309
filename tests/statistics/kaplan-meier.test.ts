import { describe, expect, it } from 'vitest'
import { kaplanMeier, survivalAtTime } from '../../src/statistics/kaplan-meier.ts'

// Miller (1997), acute myelogenous leukaemia; shipped as survival::aml.
const time = [9, 13, 13, 18, 23, 28, 31, 34, 45, 48, 161, 5, 5, 8, 8, 12, 16, 23, 27, 30, 33, 43, 45]
const event = [1, 1, 0, 1, 1, 0, 1, 1, 0, 1, 0, 1, 1, 1, 1, 1, 0, 1, 1, 1, 1, 1, 1]

describe('kaplanMeier', () => {
  it('gives R the same restricted mean, its standard error and the median', () => {
    // R survival 3.5-3: summary(survfit(Surv(time, status) ~ 1, aml), rmean = 100)$table
    const curve = kaplanMeier(time, event, { restrictedTo: 100 })
    expect(curve.restrictedMean.estimate).toBeCloseTo(31.31262939958592, 10)
    expect(curve.restrictedMean.standardError).toBeCloseTo(5.78644468019969, 10)
    expect(curve.median).toBe(27)
    // The upper limit curve is 0.458 at 45 but rises again to 0.462 at 48: quantile(f, 0.5) says 48 (its summary prints 45).
    expect(curve.log.median).toEqual({ lower: 18, upper: 48, level: 0.95 })
    // The maintained arm alone, to the last follow-up at 161: 52.645 (19.829), median 31, upper limit never reached.
    const arm = kaplanMeier(time.slice(0, 11), event.slice(0, 11))
    expect(arm.restrictedMean.estimate).toBeCloseTo(52.6454545454545, 10)
    expect(arm.restrictedMean.standardError).toBeCloseTo(19.8286027955626, 10)
    expect([arm.median, arm.log.median.lower, arm.log.median.upper]).toEqual([31, 18, null])
  })

  it('is the product limit by hand', () => {
    // Times 2, 3, 3+, 5, 8+, 8+: 5/6, 5/6 * 4/5 = 4/6, 4/6 * 2/3 = 4/9; Greenwood at 5: 1/30 + 1/20 + 1/6 = 1/4, times (4/9)^2.
    const curve = kaplanMeier([8, 3, 2, 3, 5, 8], [0, 0, 1, 1, 1, 0])
    expect(curve.time).toEqual([2, 3, 5])
    expect(curve.atRisk).toEqual([6, 5, 3])
    curve.survival.forEach((s, i) => {
      expect(s).toBeCloseTo([5 / 6, 4 / 6, 4 / 9][i]!, 12)
    })
    expect(curve.standardError[2]).toBeCloseTo((4 / 9) * Math.sqrt(1 / 4), 12)
    expect(curve.censoredAt).toEqual([3, 8])
    expect([1, 2, 4, 8, 9].map((at) => survivalAtTime(curve, at))).toEqual([
      1,
      curve.survival[0],
      curve.survival[1],
      curve.survival[2],
      null,
    ])
  })

  it('does not mind order, and follows the unit of time', () => {
    const curve = kaplanMeier(time, event)
    expect(kaplanMeier(time.toReversed(), event.toReversed())).toEqual(curve)
    const scaled = kaplanMeier(
      time.map((t) => t * 7),
      event,
    )
    expect(scaled.survival).toEqual(curve.survival)
    expect(scaled.median).toBe(curve.median! * 7)
    expect(scaled.restrictedMean.estimate).toBeCloseTo(curve.restrictedMean.estimate * 7, 9)
  })

  it('drops what is missing, and says what it cannot do', () => {
    const curve = kaplanMeier([5, null, 3, 8, undefined], [1, 1, Number.NaN, 0, 1])
    expect([curve.n, curve.nDropped, curve.events]).toEqual([2, 3, 1])
    expect(() => kaplanMeier([], [])).toThrow('needs a subject; found none')
    expect(() => kaplanMeier([null], [1])).toThrow('needs a subject')
    expect(() => kaplanMeier([-1], [1])).toThrow('finite times of 0 or more')
    expect(() => kaplanMeier([1], [2])).toThrow('events of 0 or 1')
    expect(() => kaplanMeier([1, 2], [1])).toThrow('as many events as times')
    expect(() => kaplanMeier([1], [1], { level: 1 })).toThrow('level between 0 and 1')
  })

  it('holds at the edges: one subject, none with the event, all at one time', () => {
    const one = kaplanMeier([4], [1])
    expect([one.survival, one.standardError, one.median, one.plain.lower]).toEqual([[0], [null], 4, [null]])
    expect(one.restrictedMean.estimate).toBe(4)
    const none = kaplanMeier([4, 5], [0, 0])
    expect([none.time, none.median, none.restrictedMean.estimate]).toEqual([[], null, 5])
    expect(none.restrictedMean.standardError).toBe(0)
    const same = kaplanMeier([3, 3, 3], [true, true, false])
    expect([same.time, same.atRisk, same.eventsAt]).toEqual([[3], [3], [2]])
    expect(kaplanMeier([0, 1e12], [1, 1]).survival).toEqual([0.5, 0])
  })
})
