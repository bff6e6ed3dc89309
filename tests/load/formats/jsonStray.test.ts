import { expect, it } from 'vitest'
import { load } from '../folder.ts'

const one = (date: string): string => `{"client_id":"SM-1","date":"${date}","target":"Moro","reps":5}`

// records.md: a record is "in JSON the nth entry"; "where ... JSON is not whole, the record is ragged_row, rejected".
it.each([
  ['a brace too many', `[${one('2026-03-01')}},${one('2026-03-02')}]`, 2, 1],
  [
    'two, and another entry with no comma before it',
    `[${one('2026-03-01')}}}${one('2026-03-02')},${one('2026-03-03')}]`,
    2,
    1,
  ],
  ['none', `[${one('2026-03-01')},${one('2026-03-02')}]`, 2, 0],
])('an entry with %s costs that entry and no other', async (_, text, records, rejected) => {
  const { ledger, records: read } = await load({ 'a.json': text })
  expect(ledger.map((e) => [e.records, e.kept, e.rejected])).toEqual([
    [records, records - rejected, rejected],
  ])
  expect(read.sessions.length).toBe(records - rejected)
  expect(Array.from(read.problems, (p) => p.rule)).toEqual(Array(rejected).fill('ragged_row'))
})
