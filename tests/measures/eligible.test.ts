import { expect, it } from 'vitest'
import { beforeAndAfter, isComputed } from '../../src/measures/index.ts'
import { client, line, on, recordsOf, scores } from './rows.ts'

// Amendments: "Share is “reliably improved or integrated”, of series whose baseline exceeds it" (the smallest reliable difference).
it('a series that starts too low to fall by more than measuring error is in no share, and is counted', () => {
  const asOf = on('2024-12-31')
  // Baselines 4, 4, 3, 0.25: SD 1.77 (mean 2.8125; squares 1.41 + 1.41 + 0.035 + 6.57 = 9.42, over 3), so without double
  // scorings the difference is 1.96 x sqrt(2) x 1.77 x sqrt(0.2) = 2.20. Falls of 4 and 3 exceed it, of 1 does not; 0.25 cannot fall so far.
  const series = [
    ['a', 4, 0],
    ['b', 4, 1],
    ['c', 3, 2],
    ['d', 0.25, 0.25],
  ] as const
  const records = recordsOf({
    clients: series.map(([id]) => client(id, '2014-06-15')),
    assessments: series.flatMap(([id, before, after]) =>
      scores(id, 'moro', 'midline', [
        ['2023-12-20', before],
        ['2024-03-25', after],
      ]),
    ),
    programmes: series.map(([id]) => line(id, 'moro', 'midline', '2024-01-01')),
  })
  const { horizons, difference } = beforeAndAfter(records, { asOf })
  if (!isComputed(difference)) throw new Error(difference.notComputed)
  expect(difference.severity * 4).toBeCloseTo(2.2, 2)
  const { improved } = horizons.weeks12.overall.byClient
  if (!isComputed(improved)) throw new Error(improved.notComputed)
  expect(improved).toMatchObject({ events: 2, n: 3, notEligible: 1, assumed: true })
  expect(improved.estimate).toBeCloseTo(2 / 3, 12)
})
