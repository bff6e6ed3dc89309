import { describe, expect, it } from 'vitest'
import { DOSE_WORDS, doseResponse } from '../../src/measures/dose-response.ts'
import type { Session } from '../../src/records/index.ts'
import { client, line, on, recordsOf, scores } from './rows.ts'
import { simulateCaseload } from './simulate.ts'

const session = (client_id: string, day: number, reps: number): Session => ({
  client_id,
  done_on: day,
  done_at: null,
  target: 'moro',
  side: 'midline',
  stimulus: 'brush',
  reps,
  seconds: null,
  intensity: null,
  done_by: 'family',
  reaction: null,
  note: null,
})

describe('the dose between two occasions', () => {
  // Line from 1 January, 10 repetitions a day. Scores on 31 December, 30 January, 29 February (leap year), 10 March, 9 April.
  const start = on('2024-01-01')
  const records = recordsOf({
    clients: [client('a', '2018-06-15')],
    assessments: scores('a', 'moro', 'midline', [
      ['2023-12-31', 4],
      ['2024-01-30', 3],
      ['2024-02-29', 1],
      ['2024-03-10', 0],
      ['2024-04-09', 0],
    ]),
    programmes: [line('a', 'moro', 'midline', '2024-01-01')],
    sessions: [
      // First interval, 1 to 30 January: 15 full days, and one day of 25 that pays for no other: 16 of 30.
      ...Array.from({ length: 15 }, (_, i) => session('a', start + i, 10)),
      session('a', start + 20, 25),
      // Second, 31 January to 29 February: 30 half days.
      ...Array.from({ length: 30 }, (_, i) => session('a', start + 30 + i, 5)),
    ],
  })
  const result = doseResponse(records, { asOf: on('2024-05-01') })

  it('is the mean dose fraction of the programme days, overdoing one day not counted', () => {
    expect(result.intervals.map((i) => i.dose)).toEqual([
      expect.closeTo(16 / 30, 12),
      expect.closeTo(0.5, 12),
    ])
    expect(result.intervals.map((i) => i.programmeDays)).toEqual([30, 30])
    // 30 days are 30 / 30.4375 months: -1 and -2 points.
    expect(result.intervals[0]!.changePerMonth).toBeCloseTo(-30.4375 / 30, 12)
    expect(result.intervals[1]!.changePerMonth).toBeCloseTo((-2 * 30.4375) / 30, 12)
  })

  it('leaves out ten days apart and what starts at 0, counted, and says why one client is not enough', () => {
    expect(result).toMatchObject({ enrolled: 4, n: 2, words: DOSE_WORDS, readingNote: DOSE_WORDS })
    expect(result.exclusions.map((e) => e.count)).toEqual([1, 1])
    expect(result.model).toEqual({
      notComputed: 'Dose and response needs 5 clients or more; here there is 1.',
    })
    expect(DOSE_WORDS).toMatch(/^This is an association/)
  })
})

describe('a simulated caseload', () => {
  it('holds the true association of dose and change in its interval', () => {
    // effect × dose ÷ 0.65 a month: between full dose and none that is -0.26 / 0.65 = -0.4 points a month.
    const { records, asOf } = simulateCaseload(8, {
      clients: 150,
      reflexesPerClient: 1,
      effectPerMonth: -0.26,
      withSessions: true,
    })
    const { model } = doseResponse(records, { asOf })
    if ('notComputed' in model) throw new Error(model.notComputed)
    expect(model.between.interval.lower!).toBeLessThan(-0.4)
    expect(model.between.interval.upper!).toBeGreaterThan(-0.4)
    expect(model.between.p).toBeLessThan(0.001)
    // The simulated family's level does not change over time, so nothing true lies within.
    expect(model.within.interval.lower!).toBeLessThan(0)
    expect(model.within.interval.upper!).toBeGreaterThan(-0.4)
  })
})
