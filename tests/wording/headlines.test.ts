import { describe, expect, it } from 'vitest'
import {
  adherence,
  beforeAndAfter,
  clientWeeks,
  reactions,
  seriesStatuses,
} from '../../src/measures/index.ts'
import { caseloadFilters, caseloadHeadlines, caseloadParts, partHeadlines } from '../../src/wording/index.ts'
import { log, prescribed, session, times } from '../measures/diary.ts'
import { client, on, recordsOf, scores } from '../measures/rows.ts'

const asOf = on('2024-06-30')
const parts = {
  clients: [
    client('a', '2016-06-30', { site: 'Heron', clinician: 'K. Low' }),
    client('b', '2016-06-30', { site: 'Plover', clinician: 'K. Low' }),
  ],
  assessments: [
    ...scores('a', 'rooting', 'left', [
      ['2024-02-28', 4],
      ['2024-05-24', 1],
    ]),
    ...scores('a', 'moro', 'midline', [
      ['2024-02-28', 2],
      ['2024-05-24', 2],
    ]),
    ...scores('b', 'rooting', 'left', [
      ['2024-02-28', 3],
      ['2024-05-24', 4],
    ]),
  ],
  programmes: [
    prescribed('a', 'rooting', 'left', '2024-03-01', '2024-03-04'),
    prescribed('a', 'rooting', 'right', '2024-03-01', '2024-03-04'),
    prescribed('b', 'rooting', 'left', '2024-03-01', '2024-03-04'),
  ],
  sessions: [
    // a: left 4 × 3 sessions of 10, right 2 × 3 of 10: 120 to 60. b: one of three on one day of four.
    ...log('a', 'rooting', 'left', '2024-03-01', [3, 3, 3, 3], { reaction: 'none' }),
    ...log('a', 'rooting', 'right', '2024-03-01', [3, 3, 0, 0]),
    ...log('b', 'rooting', 'left', '2024-03-01', [1]),
  ],
}
const records = recordsOf(parts)
const statuses = seriesStatuses(records, { asOf })
const diary = adherence(records, { asOf })
const change = beforeAndAfter(records, { asOf })

describe('the parts of a caseload', () => {
  const filters = caseloadFilters(records, { asOf, statuses })
  const all = caseloadParts(filters, { statuses, log: diary, change })
  const part = (name: string, value: string) =>
    all.find((p) => p.part.name === name && p.part.value === value)!

  it('hold the series of their own clients, and by reflex those of that reflex alone', () => {
    const series = (name: string, value: string) =>
      part(name, value).series.map((s) => `${s.series.client_id} ${s.series.reflex}`)
    expect(series('Site', 'Heron')).toEqual(['a moro', 'a rooting'])
    expect(series('Site', 'Plover')).toEqual(['b rooting'])
    expect(series('Clinician', 'K. Low')).toHaveLength(3)
    expect(series('Reflex', 'Moro')).toEqual(['a moro'])
    expect(series('Reflex', 'Rooting')).toEqual(['a rooting', 'b rooting'])
    // Eight years old on 30 June 2024.
    expect(series('Age today', '6 to 11 years')).toHaveLength(3)
  })

  it('hold the mean change and dose of the same', () => {
    const figure = (name: string, value: string, label: RegExp) =>
      part(name, value).headlines.find((h) => label.test(h.label))!
    // Day 84 is 24 May: a's rooting falls 4 to 1, b's rises 3 to 4; a's Moro has no programme and does not enter.
    expect(figure('Site', 'Heron', /^Mean change/).value).toBe('\u22123.00')
    expect(figure('Site', 'Plover', /^Mean change/).value).toBe('1.00')
    expect(figure('Reflex', 'Rooting', /^Mean change/)).toMatchObject({
      value: '\u22121.00',
      note: expect.stringMatching(/mean of 2 clients/),
    })
    expect(figure('Reflex', 'Moro', /^Mean change/).value).toBe('not yet')
    // a: 4 of 4 left, 2 of 4 right. b: a third of a day, of four; one day with a diary.
    expect(figure('Site', 'Heron', /^Dose/)).toMatchObject({
      value: '75 % to 75 %',
      note: expect.stringMatching(/1 client$/),
    })
    expect(figure('Site', 'Plover', /^Dose/).value).toBe('8 % to 33 %')
    expect(figure('Clinician', 'K. Low', /^Dose/).note).toMatch(/2 clients$/)
    expect(figure('Reflex', 'Moro', /^Dose/).value).toBe('not yet')
  })
})

describe('figures at the head', () => {
  const summary = (meanChange: number | null) =>
    partHeadlines(
      { meanChange, clients: 1, improved: { notComputed: 'none could' } } as never,
      { doseFraction: { asLogged: 0.333, loggedDaysOnly: null }, clients: 1 } as never,
      [],
      '12 weeks',
    )

  it('have a minus sign, and none where all digits shown are 0', () => {
    const shown = (x: number) => summary(x)[1]!.value
    expect([-1.25, -0.006, -0.004, 0, 0.004, 2].map(shown)).toEqual([
      '\u22121.25',
      '\u22120.01',
      '0.00',
      '0.00',
      '0.00',
      '2.00',
    ])
  })

  it('say what is missing where there is no figure', () => {
    const [improved, mean, dose] = summary(null)
    expect(improved).toMatchObject({ value: 'not yet', note: 'none could' })
    expect(mean).toMatchObject({ value: 'not yet', note: expect.stringMatching(/^no series has/) })
    expect(dose!.value).toBe('33 % to 33 %')
    // Nobody came back after the start.
    const early = recordsOf({ ...parts, assessments: scores('a', 'rooting', 'left', [['2024-02-28', 4]]) })
    const without = beforeAndAfter(early, { asOf })
    const [, model] = caseloadHeadlines({
      change: without,
      log: diary,
      reactions: reactions(early, { asOf }),
    })
    expect(model).toEqual({
      label: 'Mean change, 12 weeks (± 3)',
      value: 'not yet',
      note: expect.stringMatching(/^[A-Z].*\.$/),
    })
  })

  it('count reactions by the sessions at which somebody asked', () => {
    // 12 sessions of a were asked about (none), 2 more had one: 2 in 14 are 142.9 in a thousand. 6 + 1 were not asked about.
    const more = recordsOf({
      ...parts,
      sessions: [
        ...log('a', 'rooting', 'left', '2024-03-01', [3, 3, 3, 3], { reaction: 'none' }),
        ...times(7, session('a', 'rooting', 'right', '2024-03-02')),
        ...log('b', 'rooting', 'left', '2024-03-01', [1, 1], { reaction: 'skin' }),
      ],
    })
    const rate = (of: typeof records) =>
      caseloadHeadlines({ change, log: diary, reactions: reactions(of, { asOf }) }).at(-1)!
    expect(rate(more)).toMatchObject({
      value: '142.9',
      note: expect.stringMatching(/^2 in 14 sessions.* at 7 nobody/),
    })
    const nobody = recordsOf({ ...parts, sessions: [session('a', 'rooting', 'right', '2024-03-02')] })
    expect(rate(nobody)).toMatchObject({ value: 'not yet', note: 'nobody was asked' })
  })
})

describe('a client’s week', () => {
  it('has the left over the right of repetitions, and none where the right had nothing', () => {
    // Week 0 of a: 120 left, 60 right. b did nothing on the right.
    expect(
      clientWeeks(diary.days).map((w) => [w.client_id, w.week, w.leftReps, w.rightReps, w.sideRatio]),
    ).toEqual([
      ['a', 0, 120, 60, 2],
      ['b', 0, 10, 0, null],
    ])
  })
})
