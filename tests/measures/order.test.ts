import { expect, it } from 'vitest'
import { allSeries } from '../../src/measures/index.ts'
import { compareText } from '../../src/measures/series.ts'
import { client, on, recordsOf, scores } from './rows.ts'

// Code points: Z is 5A, a is 61, é is E9 (Unicode).
it('texts are in order of their code points, and a text is level with itself', () => {
  expect(['é', 'a', 'Z', 'a'].toSorted(compareText)).toEqual(['Z', 'a', 'a', 'é'])
  expect([compareText('a', 'a'), compareText('', '')]).toEqual([0, 0])
})

it('series come client by client, reflex by reflex, side by side, in whatever order the scores stand', () => {
  const wanted = [
    ['a', 'babkin', 'left'],
    ['a', 'babkin', 'right'],
    ['a', 'moro', 'midline'],
    ['a', 'rooting', 'left'],
    ['b', 'babkin', 'left'],
    ['b', 'moro', 'midline'],
  ] as const
  const rows = wanted.map(([id, reflex, side]) => scores(id, reflex, side, [['2024-01-01', 2]]))
  const places = [0, 1, 2, 3, 4, 5]
  for (const order of [places, places.toReversed(), [2, 5, 0, 3, 1, 4], [3, 1, 4, 0, 5, 2]]) {
    const records = recordsOf({
      clients: [client('b', null), client('a', null)],
      assessments: order.flatMap((i) => rows[i]!),
    })
    const found = allSeries(records, { asOf: on('2024-06-30') })
    expect(found.map((s) => [s.client_id, s.reflex, s.side])).toEqual(wanted)
  }
})
