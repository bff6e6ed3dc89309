import { describe, expect, it } from 'vitest'
import {
  adherence,
  adherenceByGroup,
  clientWeeks,
  doseOver,
  stretchesBySeries,
} from '../../src/measures/index.ts'
import type { ProgrammeLine, Session } from '../../src/records/index.ts'
import { log, prescribed, session, times } from './diary.ts'
import { client, on, recordsOf } from './rows.ts'

const A = client('a', '2018-06-15')
const of = (programmes: ProgrammeLine[], sessions: Session[], asOf: string, clients = [A]) =>
  adherence(recordsOf({ clients, programmes, sessions }), { asOf: on(asOf) })

describe('a line and its days', () => {
  // 2 a day of 10 repetitions, 1 to 10 March 2024: done 3, 0, 1, 2, 0, 0, 0, 0, 0, 2 sessions, 8 in all.
  const hand = of(
    [prescribed('a', 'moro', 'midline', '2024-03-01', '2024-03-10', { sessions_per_day: 2 })],
    log('a', 'moro', 'midline', '2024-03-01', [3, 0, 1, 2, 0, 0, 0, 0, 0, 2]),
    '2024-03-31',
  )

  it('counts line-days, sessions, days in full and days touched', () => {
    expect(hand.lines).toHaveLength(1)
    expect(hand.lines[0]).toMatchObject({
      lineDays: 10,
      sessionsDone: 8,
      sessionsPrescribed: 20, // 10 days × 2
      daysInFullCount: 3, // 1, 4 and 10 March
      daysTouchedCount: 4, // 1, 3, 4 and 10 March
      repsDone: 80,
      repsPrescribed: 200,
      longestGap: 5, // 5 to 9 March
      initiationDays: 0,
    })
    expect(hand.lines[0]!.daysInFull.asLogged).toBeCloseTo(3 / 10, 12)
    expect(hand.lines[0]!.daysTouched.asLogged).toBeCloseTo(4 / 10, 12)
  })

  it('lets overdoing one day pay for no other: min(1, done / prescribed) day by day', () => {
    // 1 + 0 + 0.5 + 1 + 0·5 + 1 = 3.5 of 10 days; 30 repetitions on 1 March are not above 1.5 × 20 = 30.
    expect(hand.lines[0]!.doseFraction.asLogged).toBeCloseTo(0.35, 12)
    expect(hand.lines[0]!.overDoseDaysCount).toBe(0)
  })

  it('reads days without a diary both ways', () => {
    // Diary on 1, 3, 4 and 10 March: 3.5 of 4 days.
    expect(hand.lines[0]!.loggedLineDays).toBe(4)
    expect(hand.lines[0]!.doseFraction.loggedDaysOnly).toBeCloseTo(3.5 / 4, 12)
    expect(hand.lines[0]!.daysInFull.loggedDaysOnly).toBeCloseTo(3 / 4, 12)
    expect(hand.lines[0]!.daysTouched.loggedDaysOnly).toBe(1)
  })

  it('calls more than 1.5 times the prescribed dose over-dose, and the next idle day is still idle', () => {
    // 3 a day: 5 sessions = 50 of 30 repetitions (1.67 times), then none, then 3.
    const r = of(
      [prescribed('a', 'moro', 'midline', '2024-03-01', '2024-03-03')],
      log('a', 'moro', 'midline', '2024-03-01', [5, 0, 3]),
      '2024-03-31',
    )
    expect(r.lines[0]!.overDoseDaysCount).toBe(1)
    expect(r.lines[0]!.doseFraction.asLogged).toBeCloseTo(2 / 3, 12)
    expect(r.lines[0]!.longestGap).toBe(1)
  })

  it('counts a day with another target’s diary as a logged day', () => {
    // Moro 1 to 4 March: done on the 1st; rooting (off the programme) on the 3rd. Logged: 2 of 4 days.
    const r = of(
      [prescribed('a', 'moro', 'midline', '2024-03-01', '2024-03-04')],
      [...log('a', 'moro', 'midline', '2024-03-01', [3]), session('a', 'rooting', 'left', '2024-03-03')],
      '2024-03-31',
    )
    expect(r.lines[0]!.loggedLineDays).toBe(2)
    expect(r.lines[0]!.doseFraction).toEqual({ asLogged: 0.25, loggedDaysOnly: 0.5 })
    expect(r.sessions).toMatchObject({ read: 4, onProgramme: 3, offProgramme: 1 })
  })
})

describe('what is prescribed', () => {
  it('takes seconds where no repetitions are prescribed', () => {
    // 2 a day of 60 s = 120 s; done 60 and 30 s: 90 / 120.
    const r = of(
      [
        prescribed('a', 'rooting', 'left', '2024-03-01', '2024-03-01', {
          sessions_per_day: 2,
          reps_per_session: null,
          seconds_per_session: 60,
        }),
      ],
      [
        session('a', 'rooting', 'left', '2024-03-01', { reps: 99, seconds: 60 }),
        session('a', 'rooting', 'left', '2024-03-01', { reps: null, seconds: 30 }),
      ],
      '2024-03-31',
    )
    expect(r.lines[0]).toMatchObject({ unit: 'seconds', secondsDone: 90, secondsPrescribed: 120 })
    expect(r.lines[0]!.doseFraction.asLogged).toBeCloseTo(0.75, 12)
    expect(r.lines[0]!.daysInFullCount).toBe(1)
  })

  it('counts a session without a figure as prescribed and shows its share', () => {
    // 3 × 10: one session of 5, two without: 5 + 10 + 10 = 25 of 30; known repetitions are 5.
    const r = of(
      [prescribed('a', 'moro', 'midline', '2024-03-01', '2024-03-01')],
      [
        session('a', 'moro', 'midline', '2024-03-01', { reps: 5 }),
        ...times(2, session('a', 'moro', 'midline', '2024-03-01', { reps: null })),
      ],
      '2024-03-31',
    )
    expect(r.lines[0]!.doseFraction.asLogged).toBeCloseTo(25 / 30, 12)
    expect(r.lines[0]).toMatchObject({
      repsDone: 5,
      sessionsWithoutFigure: 2,
      unit: 'reps',
      amountDelivered: 25,
      amountPrescribed: 30,
    })
    expect(r.lines[0]!.shareWithoutFigure).toBeCloseTo(2 / 3, 12)
    expect(r.assumptions.join(' ')).toContain('2 sessions (66.7 %) have no figure')
  })

  it('sums overlapping lines and counts each session once', () => {
    // Brush 2 a day 1 to 4 March, vibration 1 a day 3 to 6 March, both 10 repetitions: prescribed sessions 2, 2, 3, 3, 1, 1 = 12.
    // Done 2 every day: in full on 1, 2, 5, 6; dose 1, 1, 2/3, 2/3, 1, 1 = 5 1/3 of 6.
    const r = of(
      [
        prescribed('a', 'moro', 'midline', '2024-03-01', '2024-03-04', { sessions_per_day: 2 }),
        prescribed('a', 'moro', 'midline', '2024-03-03', '2024-03-06', {
          sessions_per_day: 1,
          stimulus: 'vibration',
        }),
      ],
      log('a', 'moro', 'midline', '2024-03-01', [2, 2, 2, 2, 2, 2]),
      '2024-03-31',
    )
    expect(r.lines).toHaveLength(1)
    expect(r.lines[0]!.lines).toHaveLength(2)
    expect(r.lines[0]).toMatchObject({
      lineDays: 6,
      sessionsPrescribed: 12,
      sessionsDone: 12,
      daysInFullCount: 4,
      // 20 of 10 on 5 and 6 March.
      overDoseDaysCount: 2,
    })
    expect(r.lines[0]!.doseFraction.asLogged).toBeCloseTo((4 + 4 / 3) / 6, 12)
  })

  it('follows a programme changed mid-way', () => {
    // 2 a day to 3 March, then 4 a day: 2 done every day: in full on 1 to 3, half on 4 and 5.
    const r = of(
      [
        prescribed('a', 'moro', 'midline', '2024-03-01', '2024-03-03', { sessions_per_day: 2 }),
        prescribed('a', 'moro', 'midline', '2024-03-04', '2024-03-05', { sessions_per_day: 4 }),
      ],
      log('a', 'moro', 'midline', '2024-03-01', [2, 2, 2, 2, 2]),
      '2024-03-31',
    )
    expect(r.lines.map((l) => l.doseFraction.asLogged)).toEqual([1, 0.5])
    expect(r.clients[0]!.doseFraction.asLogged).toBeCloseTo(4 / 5, 12)
    expect(r.clients[0]).toMatchObject({ lineCount: 2, lineDays: 5, clientDays: 5, daysInFullCount: 3 })
  })

  it('keeps a line that ended and restarted apart, and counts nothing between', () => {
    // 1 to 2 March and 6 to 7 March; a session on the 4th is off the programme.
    const r = of(
      [
        prescribed('a', 'moro', 'midline', '2024-03-01', '2024-03-02'),
        prescribed('a', 'moro', 'midline', '2024-03-06', '2024-03-07'),
      ],
      log('a', 'moro', 'midline', '2024-03-01', [3, 0, 0, 1, 0, 3, 3]),
      '2024-03-31',
    )
    expect(r.lines.map((l) => [l.lineDays, l.sessionsDone])).toEqual([
      [2, 3],
      [2, 6],
    ])
    // Client days 1 to 7 March, sessions of a line on 1, 6, 7: the longest run without is 2 to 5 March.
    expect(r.clients[0]).toMatchObject({ clientDays: 7, daysWithSession: 3, longestGap: 4, lineDays: 4 })
    expect(r.sessions.offProgramme).toBe(1)
  })

  it('does not take one side’s sessions for the other’s', () => {
    const r = of(
      [
        prescribed('a', 'rooting', 'left', '2024-03-01', '2024-03-02', { sessions_per_day: 1 }),
        prescribed('a', 'rooting', 'right', '2024-03-01', '2024-03-02', { sessions_per_day: 1 }),
      ],
      log('a', 'rooting', 'left', '2024-03-01', [1, 1]),
      '2024-03-31',
    )
    expect(r.lines.map((l) => [l.side, l.daysTouchedCount])).toEqual([
      ['left', 2],
      ['right', 0],
    ])
  })
})

describe('where a line ends', () => {
  const line = prescribed('a', 'moro', 'midline', '2024-03-01', '2024-03-10')
  const diary = log('a', 'moro', 'midline', '2024-03-01', Array(12).fill(3))

  it('is its end, the as-of day or discharge, whichever is first, that day included', () => {
    expect(of([line], diary, '2024-03-31').lines[0]!.lineDays).toBe(10)
    expect(of([line], diary, '2024-03-07').lines[0]!.lineDays).toBe(7)
    const left = client('a', null, { discharged_on: on('2024-03-04') })
    expect(of([line], diary, '2024-03-31', [left]).lines[0]!.lineDays).toBe(4)
    const leavesLater = client('a', null, { discharged_on: on('2024-04-04') })
    expect(of([line], diary, '2024-03-31', [leavesLater]).lines[0]!.lineDays).toBe(10)
  })

  it('leaves out sessions after the as-of day, and says so', () => {
    const r = of([line], diary, '2024-03-07')
    expect(r.sessions).toEqual({
      read: 36,
      onProgramme: 21,
      offProgramme: 0,
      afterAsOf: 15,
      ofUnknownClient: 0,
    })
  })

  it('counts the leap day', () => {
    // 27 February to 2 March 2024: 27, 28, 29, 1, 2 = 5 days.
    const r = of(
      [prescribed('a', 'moro', 'midline', '2024-02-27', '2024-03-02')],
      log('a', 'moro', 'midline', '2024-02-27', [3, 3, 3, 3, 3]),
      '2024-03-31',
    )
    expect(r.lines[0]).toMatchObject({ lineDays: 5, daysInFullCount: 5, longestGap: 0 })
  })

  it('counts whole local days across a clock change', () => {
    // 30 March to 1 April 2024 in Europe, 9 to 11 March in America: three days each, nothing lost or doubled.
    for (const from of ['2024-03-30', '2024-03-09', '2024-10-26', '2024-11-02']) {
      const r = of(
        [prescribed('a', 'moro', 'midline', from, null)],
        log('a', 'moro', 'midline', from, [3, 3, 3], { done_at: '02:30' }),
        new Date(Date.parse(from) + 2 * 86_400_000).toISOString().slice(0, 10),
      )
      expect(r.lines[0]).toMatchObject({ lineDays: 3, daysInFullCount: 3 })
    }
  })
})

describe('who is counted', () => {
  it('accounts for every client and every line', () => {
    const clients = ['a', 'b', 'c', 'd'].map((id) => client(id, null))
    const r = of(
      [
        prescribed('a', 'moro', 'midline', '2024-03-01', null),
        prescribed('b', 'moro', 'midline', '2024-05-01', null),
        prescribed('c', 'moro', 'midline', '2024-03-01', '2024-02-01'),
        prescribed('c', 'rooting', 'left', '2024-03-01', null, { sessions_per_day: 0 }),
      ],
      [session('d', 'moro', 'midline', '2024-03-02')],
      '2024-03-31',
      clients,
    )
    expect(r).toMatchObject({ enrolled: 4, n: 1, linesRead: 4, linesUsed: 1 })
    expect(r.exclusions).toEqual([
      { reason: 'no programme line has a day up to the as-of day', count: 2 },
      { reason: 'no programme on record', count: 1 },
    ])
    expect(r.linesExcluded.reduce((n, e) => n + e.count, 0)).toBe(3)
  })

  it('says who did the sessions', () => {
    const r = of(
      [prescribed('a', 'moro', 'midline', '2024-03-01', '2024-03-02')],
      [
        ...log('a', 'moro', 'midline', '2024-03-01', [2, 1]),
        session('a', 'moro', 'midline', '2024-03-01', { done_by: 'clinician' }),
        session('a', 'moro', 'midline', '2024-03-02', { done_by: null }),
      ],
      '2024-03-31',
    )
    const who = { clinician: 1, family: 3, self: 0, 'not recorded': 1 }
    expect(r.lines[0]!.byWho).toEqual(who)
    expect(r.caseload.byWho).toEqual(who)
  })

  it('adds line-days up by clinician, in alphabetical order, unknown last', () => {
    // b (of Zoe): 1 of 1 day; a and c (of Amy): 1 of 2 and 0 of 1 day: 1 of 3; d has no clinician on record.
    const clients = [
      client('b', null, { clinician: 'Zoe' }),
      client('a', null, { clinician: 'Amy' }),
      client('c', null, { clinician: 'Amy' }),
      client('d', null),
      client('no programme', null, { clinician: 'Amy' }),
    ]
    const daily = (id: string, until: string) =>
      prescribed(id, 'moro', 'midline', '2024-03-01', until, { sessions_per_day: 1 })
    const part = recordsOf({
      clients,
      programmes: [
        daily('a', '2024-03-02'),
        daily('b', '2024-03-01'),
        daily('c', '2024-03-01'),
        daily('d', '2024-03-01'),
      ],
      sessions: ['a', 'b'].map((id) => session(id, 'moro', 'midline', '2024-03-01')),
    })
    const groups = adherenceByGroup(part, adherence(part, { asOf: on('2024-03-31') }), 'clinician')
    expect(groups.map((g) => [g.name, g.clients, g.daysTouched.asLogged])).toEqual([
      ['Amy', 2, 1 / 3],
      ['Zoe', 1, 1],
      [null, 1, 0],
    ])
  })

  it('gives no share where there is no day, never 0', () => {
    const r = of([], [], '2024-03-31')
    expect(r.caseload.doseFraction).toEqual({ asLogged: null, loggedDaysOnly: null })
    expect(r.caseload.shareWithoutFigure).toBeNull()
  })
})

describe('weeks', () => {
  // Friday 1 March to Sunday 10 March 2024, 1 a day: done on 1, 2, 4 and 8 March.
  const r = of(
    [prescribed('a', 'moro', 'midline', '2024-03-01', '2024-03-10', { sessions_per_day: 1 })],
    log('a', 'moro', 'midline', '2024-03-01', [1, 1, 0, 1, 0, 0, 0, 1, 0, 0]),
    '2024-03-31',
  )

  it('begin on Monday by the calendar', () => {
    // 26 February: 1 to 3 March, 2 of 3 days; 4 March: 4 to 10 March, 2 of 7 days.
    expect(r.calendarWeeks.map((w) => [w.monday, w.lineDays, w.daysTouchedCount, w.clients])).toEqual([
      [on('2024-02-26'), 3, 2, 1],
      [on('2024-03-04'), 7, 2, 1],
    ])
  })

  it('begin with the line by the programme', () => {
    // Week 0 is 1 to 7 March: 3 of 7 days; week 1 is 8 to 10 March: 1 of 3.
    expect(r.programmeWeeks.map((w) => [w.week, w.lineDays, w.daysTouchedCount])).toEqual([
      [0, 7, 3],
      [1, 3, 1],
    ])
    expect(clientWeeks(r.days).map((w) => [w.client_id, w.week, w.doseFraction.asLogged])).toEqual([
      ['a', 0, 3 / 7],
      ['a', 1, 1 / 3],
    ])
  })

  it('add up to the caseload', () => {
    for (const weeks of [r.calendarWeeks, r.programmeWeeks])
      expect(weeks.reduce((n, w) => n + w.lineDays, 0)).toBe(r.caseload.lineDays)
  })
})

describe('dose over any days', () => {
  it('counts only days on which the line runs', () => {
    // Line 1 to 10 March, 3 a day; done 3, 0, 3 on 1 to 3 March. Asked for 25 February to 4 March: 4 line-days, dose 2 of 4.
    const r = of(
      [prescribed('a', 'moro', 'midline', '2024-03-01', '2024-03-10')],
      log('a', 'moro', 'midline', '2024-03-01', [3, 0, 3]),
      '2024-03-31',
    )
    const stretches = stretchesBySeries(r.days).get(r.lines[0]!.id)!
    expect(doseOver(r.days, stretches, on('2024-02-25'), on('2024-03-04'))).toEqual({
      lineDays: 4,
      loggedLineDays: 2,
      doseFraction: 0.5,
      doseFractionLoggedDays: 1,
      sessionsDone: 6,
    })
    expect(doseOver(r.days, stretches, on('2024-04-01'), on('2024-04-30')).doseFraction).toBeNull()
  })
})
