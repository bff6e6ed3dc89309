import { expect, it } from 'vitest'
import { load } from './folder.ts'

const HEADINGS = 'Client ID,Date,Target,Side,Reps\n'
const row = (side: string): string => `SM-1,2026-03-02,Galant,${side},5\n`

// Hand-counted: of six records four have a side that no word stands for, three of them the same one.
it('an example of a problem says how often its text was found in the file, and where first', async () => {
  const rows = ['L', 'front', 'back', 'front', 'R', 'front'].map(row).join('')
  const { ledger } = await load({ 'a.csv': HEADINGS + rows, 'b.csv': HEADINGS + row('front') })
  expect(ledger.map(({ file, records, kept, rejected }) => [file, records, kept, rejected])).toEqual([
    ['a.csv', 6, 2, 4],
    ['b.csv', 1, 0, 1],
  ])
  expect(
    ledger.map(({ problems }) =>
      problems.map(({ rule, count, examples }) => [
        rule,
        count,
        examples.map((e) => [e.record, e.line, e.field, e.value, e.times]),
      ]),
    ),
  ).toEqual([
    [
      [
        'unknown_value',
        4,
        [
          [2, 3, 'side', 'front', 3],
          [3, 4, 'side', 'back', 1],
        ],
      ],
    ],
    [['unknown_value', 1, [[1, 2, 'side', 'front', 1]]]],
  ])
})

// Nothing was read of these, so no two of them are known to be alike.
it('records that are wrong as a whole stand one by one', async () => {
  const { ledger } = await load({ 'a.csv': `${HEADINGS}SM-1,2026\n${row('L')}SM-1,2027\n` })
  expect(
    ledger[0]!.problems.map(({ rule, examples }) => [rule, examples.map((e) => [e.line, e.times])]),
  ).toEqual([
    [
      'ragged_row',
      [
        [2, 1],
        [4, 1],
      ],
    ],
  ])
})
