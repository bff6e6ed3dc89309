import { describe, expect, it } from 'vitest'
import { adherence, isComputed } from '../../src/measures/index.ts'
import type { ProgrammeLine, Session } from '../../src/records/index.ts'
import { log, prescribed, session } from './diary.ts'
import { client, on, recordsOf } from './rows.ts'

const of = (programmes: ProgrammeLine[], sessions: Session[], asOf: string) => {
  const ids = [...new Set(programmes.map((p) => p.client_id))]
  return adherence(recordsOf({ clients: ids.map((id) => client(id, null)), programmes, sessions }), {
    asOf: on(asOf),
  })
}
const daily = (id: string, from: string, until: string | null) =>
  prescribed(id, 'moro', 'midline', from, until, { sessions_per_day: 1 })
const done = (id: string, ...dates: string[]) => dates.map((d) => session(id, 'moro', 'midline', d))

describe('the first long break', () => {
  it('is the first 14 running line-days without a session, across a leap day', () => {
    // 19 February to 31 March 2024, sessions on 20 and 21 February, 8 and 25 March: 22 February to 7 March is 8 + 7 = 15 days.
    const r = of(
      [daily('a', '2024-02-19', '2024-03-31')],
      done('a', '2024-02-20', '2024-02-21', '2024-03-08', '2024-03-25'),
      '2024-04-30',
    )
    expect(r.clients[0]).toMatchObject({
      initiationDays: 1,
      longestGap: 16, // 9 to 24 March
      firstLongBreak: { startsOn: on('2024-02-22'), completeOn: on('2024-03-06') },
    })
    // From the first session, 20 February, to 22 February.
    expect(r.persistence.rows).toEqual([{ client_id: 'a', days: 2, longBreak: true }])
  })

  it('needs 14 days: 13 before and 13 after one session are none', () => {
    const r = of([daily('a', '2024-05-01', '2024-05-27')], done('a', '2024-05-14'), '2024-06-30')
    expect(r.clients[0]).toMatchObject({ firstLongBreak: null, longestGap: 13, initiationDays: 13 })
    // Censored after 27 May: 14 to 27 May are 14 days.
    expect(r.persistence.rows).toEqual([{ client_id: 'a', days: 14, longBreak: false }])
  })

  it('does not count the wait before the first session, nor days on which no line runs', () => {
    // Waits 20 days; then a pause of 30 days without a line, with 7 idle line-days before and 6 after: 13, no break.
    const r = of(
      [daily('a', '2024-01-01', '2024-01-28'), daily('a', '2024-02-28', '2024-03-10')],
      done('a', '2024-01-21', '2024-03-05', '2024-03-10'),
      '2024-03-10',
    )
    expect(r.clients[0]).toMatchObject({ initiationDays: 20, firstLongBreak: null })
  })

  it('joins idle line-days on both sides of a pause', () => {
    // 7 idle line-days (22 to 28 January) and 7 (28 February to 5 March): the 14th is 5 March.
    const r = of(
      [daily('a', '2024-01-01', '2024-01-28'), daily('a', '2024-02-28', '2024-03-10')],
      done('a', '2024-01-21', '2024-03-06'),
      '2024-03-10',
    )
    expect(r.clients[0]!.firstLongBreak).toEqual({
      startsOn: on('2024-01-22'),
      completeOn: on('2024-03-05'),
    })
  })

  it('is not a break where another line of the client was done', () => {
    const other = prescribed('a', 'rooting', 'left', '2024-05-01', '2024-05-27', { sessions_per_day: 1 })
    const r = of(
      [daily('a', '2024-05-01', '2024-05-27'), other],
      [...done('a', '2024-05-01'), ...log('a', 'rooting', 'left', '2024-05-01', Array(27).fill(1))],
      '2024-06-30',
    )
    expect(r.clients[0]!.firstLongBreak).toBeNull()
  })
})

describe('initiation and persistence of a caseload', () => {
  // a breaks after 2 days; b goes on to the end, 10 days; c never starts.
  const r = of(
    [
      daily('a', '2024-01-01', '2024-01-31'),
      daily('b', '2024-01-01', '2024-01-10'),
      daily('c', '2024-01-01', '2024-01-10'),
    ],
    [
      ...log('a', 'moro', 'midline', '2024-01-01', [1, 1]),
      ...log('b', 'moro', 'midline', '2024-01-01', Array(10).fill(1)),
    ],
    '2024-02-29',
  )

  it('keeps never started as its own answer', () => {
    expect(r.initiation).toEqual({
      clients: 3,
      started: 2,
      neverStarted: 1,
      startedWithin7Days: 2,
      medianDays: 0,
    })
    expect(r.persistence).toMatchObject({
      enrolled: 3,
      n: 2,
      exclusions: [{ reason: 'never started', count: 1 }],
    })
  })

  it('estimates the curve over clients', () => {
    // One of two leaves at day 2: S(2) = 1 − 1/2; b is censored at 10 days.
    const { curve } = r.persistence
    if (!isComputed(curve)) throw new Error(curve.notComputed)
    expect(curve.time).toEqual([2])
    expect(curve.survival[0]).toBeCloseTo(0.5, 12)
    expect(curve.censoredAt).toEqual([10])
  })

  it('says why there is no curve where nobody started', () => {
    const none = of([daily('a', '2024-01-01', null)], [], '2024-01-31')
    expect(none.persistence.curve).toEqual({
      notComputed: 'The curve of time to the first long break needs a subject; here there is none.',
    })
  })
})

describe('the last 28 days with a running line', () => {
  it('end on the last logged day and count line-days touched', () => {
    // One line from 1 January, 12 days logged of 1 January to 4 February (35 days); last logged 4 February.
    // The last 28 running days are 8 January to 4 February; sessions on 1 to 5 January fall outside.
    const r = of(
      [daily('a', '2024-01-01', null)],
      done('a', '2024-01-01', '2024-01-02', '2024-01-03', '2024-01-10', '2024-01-20', '2024-02-04'),
      '2024-03-31',
    )
    expect(r.clients[0]!.recent).toEqual({
      from: on('2024-01-08'),
      to: on('2024-02-04'),
      lineDays: 28,
      touched: 3,
      shareTouched: 3 / 28,
    })
  })

  it('are not there before 28 such days have passed', () => {
    const r = of([daily('a', '2024-01-01', null)], done('a', '2024-01-20'), '2024-03-31')
    expect(r.clients[0]!.recent).toBeNull()
  })
})
