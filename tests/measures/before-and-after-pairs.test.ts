import { describe, expect, it } from 'vitest'
import { changeAccount } from '../../src/measures/change-account.ts'
import { type ChangePair, HORIZONS, type HorizonName, LEFT_OUT } from '../../src/measures/change-pairs.ts'
import { allSeries } from '../../src/measures/series.ts'
import type { Records } from '../../src/records/index.ts'
import { client, line, on, recordsOf, scores } from './rows.ts'

const START = '2024-01-01'
const BORN = '2018-06-15'
const AS_OF = on('2024-12-31')

const account = (records: Records, horizon: HorizonName, asOf = AS_OF) =>
  changeAccount(records, allSeries(records, { asOf }), HORIZONS[horizon], asOf)

const one = (rows: readonly (readonly [string, number, string?])[], horizon: HorizonName) => {
  const { pairs } = account(
    recordsOf({
      clients: [client('a', BORN)],
      assessments: scores('a', 'moro', 'midline', rows),
      programmes: [line('a', 'moro', 'midline', START)],
    }),
    horizon,
  )
  return pairs[0] as ChangePair | undefined
}

describe('the baseline', () => {
  it('is the last occasion on or before the start, the start’s own day included', () => {
    const pair = one(
      [
        ['2023-12-01', 4],
        [START, 3],
        ['2024-03-25', 1],
      ],
      'weeks12',
    )
    expect(pair).toMatchObject({ baselineOn: on(START), baseline: 3, followUp: 1, change: -2 })
  })

  it('may lie 60 days before the start, and no more', () => {
    // 2 November 2023 to 1 January 2024: 28 + 31 + 1 = 60 days.
    const at = (date: string) =>
      one(
        [
          [date, 3],
          ['2024-03-25', 1],
        ] as const,
        'weeks12',
      )
    expect(at('2023-11-02')?.baseline).toBe(3)
    expect(at('2023-11-01')).toBeUndefined()
  })

  it('is the mean where two raters disagree', () => {
    const pair = one(
      [
        ['2023-12-20', 3, 'r1'],
        ['2023-12-20', 2, 'r2'],
        ['2024-03-25', 1],
      ],
      'weeks12',
    )
    expect(pair).toMatchObject({ baseline: 2.5, change: -1.5 })
  })
})

describe('the follow-up', () => {
  // Day 84 after 1 January 2024 is 25 March (31 + 29 + 24). Days 63 to 105 are 4 March to 15 April.
  it('at 12 weeks lies within 3 weeks of day 84, both ends included', () => {
    const at = (date: string) =>
      one(
        [
          ['2023-12-20', 3],
          [date, 1],
        ] as const,
        'weeks12',
      )?.followUp
    expect(at('2024-03-03')).toBeUndefined()
    expect(at('2024-03-04')).toBe(1)
    expect(at('2024-04-15')).toBe(1)
    expect(at('2024-04-16')).toBeUndefined()
  })

  it('takes the nearest, and of two equally near the earlier', () => {
    const followUps = (dates: readonly (readonly [string, number])[]) =>
      one([['2023-12-20', 4], ...dates] as const, 'weeks12')?.followUp
    // Days 74 and 95: 10 and 11 away.
    expect(
      followUps([
        ['2024-03-15', 3],
        ['2024-04-05', 1],
      ]),
    ).toBe(3)
    // Days 74 and 94: both 10 away.
    expect(
      followUps([
        ['2024-03-15', 2],
        ['2024-04-04', 1],
      ]),
    ).toBe(2)
  })

  it('at 26 weeks lies within 4 weeks of day 182 (1 July 2024 is day 182)', () => {
    const at = (date: string) =>
      one(
        [
          ['2023-12-20', 3],
          [date, 1],
        ] as const,
        'weeks26',
      )?.followUp
    // Day 154 is 3 June, day 210 is 29 July.
    expect(at('2024-06-02')).toBeUndefined()
    expect(at('2024-06-03')).toBe(1)
    expect(at('2024-07-29')).toBe(1)
    expect(at('2024-07-30')).toBeUndefined()
  })

  it('as the latest is the last from day 28', () => {
    const at = (date: string) =>
      one(
        [
          ['2023-12-20', 3],
          [date, 1],
        ] as const,
        'latest',
      )?.followUp
    expect(at('2024-01-28')).toBeUndefined()
    expect(at('2024-01-29')).toBe(1)
    expect(
      one(
        [
          ['2023-12-20', 3],
          ['2024-03-25', 1],
          ['2024-11-01', 2],
        ],
        'latest',
      )?.change,
    ).toBe(-1)
  })
})

describe('the account', () => {
  const rows = (id: string, followUp: readonly [string, number] | null, baseline = '2023-12-20') =>
    scores(id, 'moro', 'midline', followUp === null ? [[baseline, 3]] : [[baseline, 3], followUp])
  const records = recordsOf({
    clients: [
      client('analysed', BORN),
      client('no scores', BORN),
      client('no programme', BORN),
      client('old baseline', BORN),
      client('only after', BORN),
      client('left', BORN, { discharged_on: on('2024-02-01') }),
      client('not seen', BORN),
      client('age unknown', null),
      // Moro's latest upper age is 6 months; born 1 September 2023, 3.6 months on 20 December.
      client('infant', '2023-09-01'),
    ],
    assessments: [
      ...rows('analysed', ['2024-03-25', 1]),
      ...rows('no programme', ['2024-03-25', 1]),
      ...rows('old baseline', ['2024-03-25', 1], '2023-09-01'),
      ...rows('only after', ['2024-03-25', 1], '2024-01-05'),
      ...rows('left', null),
      ...rows('not seen', null),
      ...rows('age unknown', ['2024-03-25', 1]),
      ...rows('infant', ['2024-03-25', 1]),
    ],
    programmes: ['analysed', 'old baseline', 'only after', 'left', 'not seen', 'age unknown', 'infant'].map(
      (id) => line(id, 'moro', 'midline', START),
    ),
  })

  it('counts every client once, with a reason where not analysed', () => {
    const { clients, series, ageAppropriate } = account(records, 'weeks12')
    expect(clients.enrolled).toBe(9)
    expect(clients.n).toBe(1)
    expect(Object.fromEntries(clients.exclusions.map((e) => [e.reason, e.count]))).toEqual({
      'no score by the as-of day': 1,
      [LEFT_OUT.noProgramme]: 1,
      [LEFT_OUT.baselineTooOld]: 1,
      [LEFT_OUT.noBaselineEver]: 1,
      [LEFT_OUT.discharged]: 1,
      [LEFT_OUT.noFollowUp]: 1,
      [LEFT_OUT.ageUnknown]: 1,
      [LEFT_OUT.ageAppropriate]: 1,
    })
    expect(series.enrolled).toBe(series.n + series.exclusions.reduce((sum, e) => sum + e.count, 0))
    expect(ageAppropriate.map((p) => [p.series.client_id, p.change])).toEqual([['infant', -2]])
  })

  it('says that the window is still open while it is', () => {
    // analysed, not seen, age unknown and infant: on 1 March day 105 is still ahead.
    const { series } = account(records, 'weeks12', on('2024-03-01'))
    expect(series.exclusions).toContainEqual({ reason: LEFT_OUT.tooEarly, count: 4 })
  })
})
