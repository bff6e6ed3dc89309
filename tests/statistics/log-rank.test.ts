import { describe, expect, it } from 'vitest'
import { logRankTest } from '../../src/statistics/log-rank.ts'

const six = [6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35]
const sixEvent = [1, 1, 1, 0, 1, 0, 1, 0, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0]
const control = [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23]
const time = [...six, ...control]
const event = [...sixEvent, ...control.map(() => 1)]
const group = [...six.map(() => '6-MP'), ...control.map(() => 'control')]

describe('logRankTest', () => {
  it('agrees with R and the printed 16.79 on the remission times of Freireich and others (1963)', () => {
    const test = logRankTest(time, event, group)
    expect(test.chiSquare).toBeCloseTo(16.79294098921654, 10) // R survival 3.5-3: survdiff
    expect(test.expected[0]).toBeCloseTo(19.250500948031128, 10)
    expect(test.variance[0]![0]).toBeCloseTo(6.256960573675499, 10)
    expect(test.p).toBeCloseTo(4.168809109334531e-5, 12)
    const peto = logRankTest(time, event, group, { weights: 'Peto-Peto' })
    expect(peto.chiSquare).toBeCloseTo(14.457150818717125, 10) // survdiff(rho = 1)
  })

  it('does not mind order of rows or groups', () => {
    const test = logRankTest(time, event, group)
    const reversed = logRankTest(time.toReversed(), event.toReversed(), group.toReversed())
    expect(reversed.chiSquare).toBeCloseTo(test.chiSquare, 10)
    const turned = logRankTest(time, event, group, { groupOrder: ['control', '6-MP'] })
    expect(turned.chiSquare).toBeCloseTo(test.chiSquare, 10)
    expect(turned.observed).toEqual(test.observed.toReversed())
  })

  it('counts no degree of freedom for a group that was never at risk', () => {
    // The third group is censored before any event.
    const test = logRankTest([1, 2, 3, 4, 0.5], [1, 1, 1, 1, 0], ['a', 'b', 'a', 'b', 'c'])
    expect([test.groups, test.df]).toEqual([['a', 'b', 'c'], 1])
    expect(test.chiSquare).toBeCloseTo(
      logRankTest([1, 2, 3, 4], [1, 1, 1, 1], ['a', 'b', 'a', 'b']).chiSquare,
      12,
    )
  })

  it('drops what is missing, and says what it cannot do', () => {
    expect(logRankTest([1, 2, 3, null], [1, 1, 1, 1], ['a', 'b', null, 'b']).nDropped).toBe(2)
    expect(() => logRankTest([1, 2], [1, 1], ['a', 'a'])).toThrow('two groups or more; found 1')
    expect(() => logRankTest([], [], [])).toThrow('two groups or more; found 0')
    expect(() => logRankTest([1, 2], [0, 0], ['a', 'b'])).toThrow('an event while two groups are at risk')
    expect(() => logRankTest([1, 2], [1, 1], ['a', 'b'], { groupOrder: ['a'] })).toThrow(
      'every group in groupOrder',
    )
  })
})
