import { expect, it, describe as suite } from 'vitest'
import { describe, percentileRank } from '../../src/statistics/describe.ts'

suite('descriptive figures', () => {
  it('of no value are null, and count what was missing', () => {
    const none = describe([null, undefined, Number.NaN])
    expect(none).toMatchObject({
      n: 0,
      nDropped: 3,
      mean: null,
      sd: null,
      minimum: null,
      median: null,
      mad: null,
    })
    expect(none.quantile(0.5)).toBeNull()
    expect(percentileRank([], 1)).toBeNull()
  })

  it('keep their skewness at any scale', () => {
    // 1, 2, 4: mean 7/3, second moment 14/9, third 20/27, so g1 = (20/27) / (14/9)^1.5.
    const g1 = 20 / 27 / (14 / 9) ** 1.5
    for (const unit of [1, 1e-300, 1e200])
      expect(describe([unit, 2 * unit, 4 * unit]).skewG1, String(unit)).toBeCloseTo(g1, 12)
  })

  it('say at what share of the values one stands', () => {
    expect(percentileRank([1, 2, 3, null, 4], 2)).toBe(0.5)
  })
})
