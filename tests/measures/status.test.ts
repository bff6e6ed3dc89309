import { describe, expect, it } from 'vitest'
import { allSeries, type SeriesStatus, seriesStatus, seriesStatuses } from '../../src/measures/index.ts'
import type { ProgrammeLine } from '../../src/records/index.ts'
import { client, line, ONE_POINT, on, recordsOf, scores } from './rows.ts'

type Row = readonly [string, number, string?]

function statusOf(
  rows: readonly Row[],
  programmes: ProgrammeLine[] = [],
  difference: Parameters<typeof seriesStatus>[1] = ONE_POINT,
): SeriesStatus {
  const a = client('a', '2018-06-15')
  const records = recordsOf({ clients: [a], assessments: scores('a', 'moro', 'midline', rows), programmes })
  return seriesStatus(allSeries(records, { asOf: on('2025-12-31') })[0]!, difference, a)
}

describe('status of a series, first that holds', () => {
  const cases: readonly (readonly [string, string, readonly Row[]])[] = [
    [
      'not enough scores',
      'one occasion, two raters',
      [
        ['2024-01-01', 3, 'r1'],
        ['2024-01-01', 2, 'r2'],
      ],
    ],
    [
      'never seen',
      '0 on every occasion',
      [
        ['2024-01-01', 0],
        ['2024-02-01', 0],
      ],
    ],
    [
      'appeared',
      '0 throughout, positive on the last',
      [
        ['2024-01-01', 0],
        ['2024-02-01', 0],
        ['2024-03-01', 1],
      ],
    ],
    [
      'absent, unconfirmed',
      '0 on the last only',
      [
        ['2024-01-01', 3],
        ['2024-02-01', 0],
      ],
    ],
    // 1 to 28 February 2024 is 27 days.
    [
      'absent, unconfirmed',
      'two zeros 27 days apart',
      [
        ['2024-01-01', 3],
        ['2024-02-01', 0],
        ['2024-02-28', 0],
      ],
    ],
    // 1 to 29 February 2024, the leap day, is 28 days.
    [
      'integrated',
      'two zeros 28 days apart, over the leap day',
      [
        ['2024-01-01', 3],
        ['2024-02-01', 0],
        ['2024-02-29', 0],
      ],
    ],
    [
      'wavering',
      'an unconfirmed zero, positive again',
      [
        ['2024-01-01', 3],
        ['2024-02-01', 0],
        ['2024-02-20', 1],
      ],
    ],
    [
      'returned',
      'a confirmed run of zeros, positive again',
      [
        ['2024-01-01', 3],
        ['2024-02-01', 0],
        ['2024-03-01', 0],
        ['2024-04-01', 1],
      ],
    ],
    [
      'returned',
      'gone, back, and once more a single zero between positives',
      [
        ['2024-01-01', 3],
        ['2024-02-01', 0],
        ['2024-03-01', 0],
        ['2024-04-01', 1],
        ['2024-05-01', 0],
        ['2024-05-20', 2],
      ],
    ],
    [
      'integrated',
      'gone, back, and gone again for good',
      [
        ['2024-01-01', 3],
        ['2024-02-01', 0],
        ['2024-03-01', 0],
        ['2024-04-01', 1],
        ['2024-05-01', 0],
        ['2024-06-01', 0],
      ],
    ],
    [
      'absent, unconfirmed',
      'gone, back, and gone again once',
      [
        ['2024-01-01', 3],
        ['2024-02-01', 0],
        ['2024-03-01', 0],
        ['2024-04-01', 1],
        ['2024-05-01', 0],
      ],
    ],
    [
      'rising',
      'more than the difference above baseline',
      [
        ['2024-01-01', 2],
        ['2024-02-01', 3.5],
      ],
    ],
    [
      'fading',
      'more than the difference below baseline',
      [
        ['2024-01-01', 3],
        ['2024-02-01', 1],
      ],
    ],
    [
      'no reliable change',
      'exactly the difference',
      [
        ['2024-01-01', 3],
        ['2024-02-01', 2],
      ],
    ],
    // Two raters disagree on the last day: mean of 0 and 1 is positive, so it is not absent.
    [
      'fading',
      'one rater sees it, one does not',
      [
        ['2024-01-01', 3],
        ['2024-02-01', 0, 'r1'],
        ['2024-02-01', 1, 'r2'],
      ],
    ],
    // Zeros before it was ever seen make no wavering: 0, 3, 3 against the first score is a rise.
    [
      'rising',
      'zeros only before it was first seen',
      [
        ['2024-01-01', 0],
        ['2024-02-01', 3],
        ['2024-03-01', 3],
      ],
    ],
  ]
  for (const [status, what, rows] of cases)
    it(`${status}: ${what}`, () => {
      expect(statusOf(rows).status).toBe(status)
    })

  it('dates the going and the coming back', () => {
    const s = statusOf([
      ['2024-01-01', 3],
      ['2024-02-01', 0],
      ['2024-03-01', 0],
      ['2024-04-01', 1],
      ['2024-05-01', 2],
    ])
    expect(s).toMatchObject({ integratedOn: on('2024-02-01'), backOn: on('2024-04-01') })
  })
})

describe('the baseline of a status', () => {
  const start = [line('a', 'moro', 'midline', '2024-03-01')]

  it('is the last occasion in the 60 days up to the start, not the first', () => {
    // 2 January is 59 days before 1 March 2024; 4 falls to 2 before the start, then stays: no change since the baseline.
    const s = statusOf(
      [
        ['2023-11-01', 4],
        ['2024-01-02', 2],
        ['2024-04-01', 2],
      ],
      start,
    )
    expect(s).toMatchObject({ status: 'no reliable change', change: 0, judged: true })
    expect(s.baseline).toMatchObject({ from: 'before the start', occasion: { day: on('2024-01-02') } })
  })

  it('cannot be judged without one, and says so rather than calling it no change', () => {
    // 31 December 2023 is 61 days before the start.
    const s = statusOf(
      [
        ['2023-12-31', 4],
        ['2024-04-01', 1],
      ],
      start,
    )
    expect(s).toMatchObject({ judged: false, change: null })
    expect(s.note).toContain('cannot be judged')
  })

  it('is the first occasion where there is no programme, which is said', () => {
    const s = statusOf([
      ['2024-01-01', 4],
      ['2024-04-01', 1],
    ])
    expect(s).toMatchObject({
      status: 'fading',
      change: -3,
      baseline: { from: 'first occasion, no programme' },
    })
    expect(s.note).toContain('No programme: compared with the first score, of 2024-01-01')
  })

  it('starts with the earliest line of the same reflex and side', () => {
    const lines = [
      line('a', 'moro', 'midline', '2024-06-01'),
      line('a', 'moro', 'midline', '2024-03-01'),
      line('a', 'rooting', 'left', '2024-01-05'),
    ]
    const s = statusOf(
      [
        ['2024-02-20', 3],
        ['2024-05-30', 1],
        ['2024-07-01', 1],
      ],
      lines,
    )
    expect(s.series.start).toBe(on('2024-03-01'))
    expect(s.change).toBe(-2)
  })
})

describe('the status of a caseload', () => {
  const records = recordsOf({
    clients: [client('a', '2018-06-15'), client('b', null)],
    assessments: [
      ...scores('a', 'moro', 'midline', [
        ['2024-01-01', 3],
        ['2024-06-01', 3],
      ]),
      ...scores('b', 'rooting', 'left', [
        ['2024-01-01', 1],
        ['2024-08-01', 1],
      ]),
    ],
  })

  it('leaves out what lies after the as-of day', () => {
    const r = seriesStatuses(records, { asOf: on('2024-07-01') })
    expect(r).toMatchObject({ enrolled: 2, n: 2, exclusions: [] })
    expect(r.counts).toMatchObject({ 'no reliable change': 1, 'not enough scores': 1 })
  })

  it('says that the difference is assumed', () => {
    const r = seriesStatuses(records, { asOf: on('2024-12-31') })
    expect(r.difference).toMatchObject({ from: 'assumed' })
    expect(r.assumptions.join(' ')).toContain('Assumed: 0 double scorings')
    expect(r.assumptions.join(' ')).toContain(
      '2 series without a programme are compared with their first score',
    )
  })

  it('keeps unknown age as its own answer', () => {
    const ages = seriesStatuses(records, { asOf: on('2024-12-31') }).series.map((s) => s.ageAtLast.standing)
    expect(ages).toEqual(['past its usual age', 'age unknown'])
  })
})
