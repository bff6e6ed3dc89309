import { expect, it } from 'vitest'
import { latestSharedDay, requireAsOf } from '../../src/measures/index.ts'
import { client, on, recordsOf, scores } from './rows.ts'

const IDS = ['a', 'b', 'c', 'd']

/** Three clients a day, or more, in the order given. */
const scoredOn = (days: readonly string[], ids = IDS) =>
  recordsOf({
    clients: ids.map((id) => client(id, null)),
    assessments: days.flatMap((day) => ids.flatMap((id) => scores(id, 'moro', 'midline', [[day, 2]]))),
  })

// Amendments, as-of day: "without it the error names the latest date on which three or more clients have records".
it('of several dates that three clients share, the latest is named, in whatever order they stand', () => {
  const days = ['2024-05-01', '2024-07-01', '2024-06-01']
  for (const order of [days, days.toReversed(), days.toSorted()]) {
    expect(latestSharedDay(scoredOn(order))).toBe(on('2024-07-01'))
    expect(() => requireAsOf(scoredOn(order), null)).toThrow(
      /three or more clients have records is 2024-07-01\./,
    )
  }
})

it('two clients are too few, three are enough', () => {
  expect(latestSharedDay(scoredOn(['2024-05-01'], ['a', 'b']))).toBeNull()
  expect(latestSharedDay(scoredOn(['2024-05-01'], ['a', 'b', 'c']))).toBe(on('2024-05-01'))
})
