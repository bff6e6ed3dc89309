import { describe, expect, it } from 'vitest'
import { adherence, ageGroup, commonPractice, isComputed, notComputed } from '../../src/measures/index.ts'
import { log, prescribed, session, times } from './diary.ts'
import { client, on, recordsOf } from './rows.ts'

const asOf = on('2024-06-30')

describe('a programme line runs from its start to its end, both included', () => {
  const beside = (from: string, until: string | null, changes: object = {}) =>
    commonPractice(
      recordsOf({
        clients: [client('a', null, changes)],
        programmes: [prescribed('a', 'moro', 'midline', from, until, { sessions_per_day: 1 })],
      }),
      { asOf },
    )

  it.each([
    ['2024-06-30', null, 1],
    ['2024-07-01', null, 0],
    ['2024-01-01', '2024-06-30', 1],
    ['2024-01-01', '2024-06-29', 0],
    ['2024-06-30', '2024-06-30', 1],
  ] as const)('as common practice takes it: %s to %s, %i on 30 June', (from, until, n) => {
    const found = beside(from, until)
    expect([found.n, found.notes.length]).toEqual([n, n])
    expect(found.exclusions.reduce((sum, e) => sum + e.count, 0)).toBe(1 - n)
  })

  it('and nobody’s does who has left by that day', () => {
    expect(beside('2024-01-01', null, { discharged_on: on('2024-06-30') }).n).toBe(0)
    expect(beside('2024-01-01', null, { discharged_on: on('2024-07-01') }).n).toBe(1)
  })
})

describe('the longest gap of a client', () => {
  const gapOf = (perDay: readonly number[], days: string) =>
    adherence(
      recordsOf({
        clients: [client('a', null)],
        programmes: [prescribed('a', 'moro', 'midline', '2024-06-01', days)],
        sessions: log('a', 'moro', 'midline', '2024-06-01', perDay),
      }),
      { asOf },
    ).clients[0]!.longestGap

  it('is counted in days without a session: at the start, between, and at the end', () => {
    expect(gapOf([0, 0, 3, 3], '2024-06-04')).toBe(2)
    expect(gapOf([3, 0, 0, 0, 3], '2024-06-05')).toBe(3)
    expect(gapOf([3, 3, 0, 0], '2024-06-04')).toBe(2)
    expect(gapOf([3, 3], '2024-06-02')).toBe(0)
    expect(gapOf([], '2024-06-05')).toBe(5)
  })
})

describe('a day with more sessions than two bytes count', () => {
  it('is a day on which something was done', () => {
    const found = adherence(
      recordsOf({
        clients: [client('a', null)],
        programmes: [prescribed('a', 'moro', 'midline', '2024-06-01', '2024-06-02')],
        sessions: times(65_536, session('a', 'moro', 'midline', '2024-06-01')),
      }),
      { asOf },
    )
    expect(found.lines[0]).toMatchObject({ daysInFullCount: 1, longestGap: 1 })
  })
})

describe('bands of age', () => {
  it.each([
    [-1, 'under 1 year'],
    [0, 'under 1 year'],
    [11.99, 'under 1 year'],
    [12, '1 to 2 years'],
    [35.99, '1 to 2 years'],
    [36, '3 to 5 years'],
    [71.99, '3 to 5 years'],
    [72, '6 to 11 years'],
    [143.99, '6 to 11 years'],
    [144, '12 to 17 years'],
    [215.99, '12 to 17 years'],
    [216, '18 years and over'],
    [1300, '18 years and over'],
    [null, 'age unknown'],
  ])('%s months: %s', (months, label) => expect(ageGroup(months)).toBe(label))
})

it('a figure is one whatever it is, but for the reason why there is none', () => {
  expect([0, Number.NaN, null, '', [], {}].map(isComputed)).toEqual(Array(6).fill(true))
  expect(isComputed(notComputed('Too few.'))).toBe(false)
})
