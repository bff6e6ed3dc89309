import { describe, expect, it } from 'vitest'
import { parseGuide } from '../../src/load/guide/parseGuide.ts'
import { lines, load } from './folder.ts'

const read = (files: Record<string, string>, guide: string) =>
  load(files, { guide: parseGuide(guide, 'guide.yaml') })

// What stands in the cells is worked out by hand beside each case.
describe('a column for each day', () => {
  const guide = 'files: [{ match: "*.csv", holds: sessions, across: { field: done_on, cells: reps } }]'

  it('gives a session for each filled cell, all of one record; the headings prove their order', async () => {
    const found = await read(
      {
        'm.csv':
          'Client ID,Reflex,Side,02/03/2026,13/03/2026,14/03/2026,Note\nSM-1,Galant,L,10,,x,new\nSM-1,Galant,R,-,no,8,\nSM-1,Moro,,,,,ill\nSM-1,Moro\n',
      },
      guide,
    )
    expect(lines(found, 'sessions')).toEqual([
      'SM-1,2026-03-02,,spinal_galant,left,,10,,,,,new',
      'SM-1,2026-03-14,,spinal_galant,left,,,,,,,new',
      'SM-1,2026-03-14,,spinal_galant,right,,8,,,,,',
    ])
    // A line on which nothing was done is kept and gives no rows; the short one is rejected, on its own line.
    expect(found.ledger[0]).toMatchObject({ records: 4, kept: 3, rejected: 1, rows: 3 })
    expect(lines(found, 'problems')).toEqual(['m.csv,4,,"SM-1,Moro",ragged_row,rejected'])
    expect(found.ledger[0]?.problems[0]?.examples[0]?.line).toBe(5)
  })

  it('says nothing of days that could be two, and keeps a record whose figure cannot be read', async () => {
    const unproven = await read({ 'm.csv': 'Client ID,Reflex,02/03/2026\nSM-1,Moro,5\n' }, guide)
    expect(lines(unproven, 'problems')).toEqual(['m.csv,1,done_on,02/03/2026,ambiguous_date,rejected'])
    const lots = await read({ 'm.csv': 'Client ID,Reflex,2026-03-02,2026-03-03\nSM-1,Moro,lots,5\n' }, guide)
    expect(lines(lots, 'problems')).toEqual(['m.csv,1,reps,lots,unreadable_number,emptied'])
    expect(lots.records.sessions.length).toBe(2)
  })

  it('rejects the whole record where one of its days lies after the as-of day', async () => {
    const late = await read(
      { 'm.csv': 'Client ID,Reflex,2026-06-30,2026-07-01\nSM-1,Moro,4,5\nSM-1,Snout,4,\n' },
      guide,
    )
    expect(lines(late, 'problems')).toEqual(['m.csv,1,done_on,2026-07-01,future_date,rejected'])
    expect(lines(late, 'sessions')).toEqual(['SM-1,2026-06-30,,snout,midline,,4,,,,,'])
  })

  it('counts a line that two overlapping exports repeat once', async () => {
    const head = 'Client ID,Reflex,2026-03-02,2026-03-03\n'
    const found = await read({ 'a.csv': `${head}SM-1,Moro,4,5\n`, 'b.csv': `${head}SM-1,Moro,4,5\n` }, guide)
    expect(lines(found, 'problems')).toEqual(['b.csv,1,,,duplicate_row,rejected'])
    expect(found.records.sessions.length).toBe(2)
  })

  it('is missed with words that say what to mend', async () => {
    await expect(read({ 'm.csv': 'Client ID,Reflex,Mon\nSM-1,Moro,5\n' }, guide)).rejects.toThrow(
      /headings: \[/,
    )
  })
})

describe('a column for each rater or reflex', () => {
  it('is told by the words of the headings; a record with no score lacks it', async () => {
    const found = await read(
      {
        's.csv':
          'Client ID,Assessment date,Reflex,Score 1,Score 2\nSM-1,2026-03-02,Moro,2,3\nSM-1,2026-03-03,Moro,,\n',
      },
      `files:
  - match: s.csv
    holds: assessments
    across: { field: rater_id, cells: score, headings: [score 1, Score  2] }
    words: { rater_id: { Score 1: A.V., Score 2: K.O. } }`,
    )
    expect(lines(found, 'assessments')).toEqual([
      'SM-1,2026-03-02,moro,midline,2,4,A.V.',
      'SM-1,2026-03-02,moro,midline,3,4,K.O.',
    ])
    expect(lines(found, 'problems')).toEqual(['s.csv,2,score,,missing_value,rejected'])
  })
})
