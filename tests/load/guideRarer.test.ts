import { describe, expect, it } from 'vitest'
import { lines, load } from './folder.ts'

const sessions = async (csv: string, guide: string): Promise<string[]> => {
  const loaded = await load({ 'log.csv': csv, 'guide.yaml': guide })
  expect(lines(loaded, 'problems')).toEqual([])
  return lines(loaded, 'sessions')
}

// What each line of a guide means stands in datasets/reading-guide.md, "What a guide can say".
describe('what a guide says holds', () => {
  it('for a length that is a constant: "unit of bare numbers in the length of a session"', async () => {
    const csv = 'Client ID,Date,Target\nSM-1,2026-03-02,Moro\n'
    // Two minutes are 120 seconds.
    expect(await sessions(csv, 'constants: {seconds: "2"}\nunits: {seconds: minutes}\n')).toEqual([
      'SM-1,2026-03-02,,moro,midline,,,120,,,,',
    ])
    expect(await sessions(csv, 'constants: {seconds: "2"}\n')).toEqual([
      'SM-1,2026-03-02,,moro,midline,,,2,,,,',
    ])
  })

  it('for the century field by field: "what a two-digit year counts from"', async () => {
    const files = {
      'clients.csv': 'Client ID,Date of birth,Enrolled on\nSM-1,23.04.61,24.05.25\n',
      'guide.yaml': 'century: {birth_date: 1900, enrolled_on: 2000}\n',
    }
    const loaded = await load(files)
    expect(lines(loaded, 'problems')).toEqual([])
    expect(lines(loaded, 'clients')[0]).toMatch(/^SM-1,1961-04-23,.*,2025-05-24,/)
  })

  it('and for "date (the date of whatever the table holds)"', async () => {
    const csv = 'Client ID,Date,Target,Reps\nSM-1,24.05.25,Moro,5\n'
    expect(await sessions(csv, 'century: {date: 2000}\n')).toEqual(['SM-1,2025-05-24,,moro,midline,,5,,,,,'])
  })

  it('for days that were saved as numbers, whose fraction is the time of day', async () => {
    // Day 25569 of the count from 1900 is 1970-01-01; 46083 is 20514 days later, 2026-03-02. A quarter of a day is 6 hours.
    const csv = 'Client ID,Date,Time,Target,Reps\nSM-1,46083,46083.25,Moro,5\nSM-1,46083,0.75,Moro,5\n'
    expect(await sessions(csv, 'day_numbers: from-1900\n')).toEqual([
      'SM-1,2026-03-02,06:00,moro,midline,,5,,,,,',
      'SM-1,2026-03-02,18:00,moro,midline,,5,,,,,',
    ])
  })

  it('for a time that stands with its date', async () => {
    const csv = 'Client ID,Date,Time,Target,Reps\nSM-1,2026-03-02,2026-03-02 07:30,Moro,5\n'
    const told = ['SM-1,2026-03-02,07:30,moro,midline,,5,,,,,']
    expect(await sessions(csv, 'decimal: point\n')).toEqual(told)
    // Without a column of times the date's own time is the session's.
    const alone =
      'Client ID,Date,Target,Reps\nSM-1,2026-03-02T07:30,Moro,5\nSM-1,2026-03-02T18:05,Moro,5\nSM-1,2026-03-02,Moro,5\n'
    expect(await sessions(alone, 'decimal: point\n')).toEqual([
      'SM-1,2026-03-02,,moro,midline,,5,,,,,',
      ...told,
      'SM-1,2026-03-02,18:05,moro,midline,,5,,,,,',
    ])
  })

  it('for a note in two columns: the first that has one', async () => {
    const csv =
      'Client ID,Date,Target,Reps,Said,Seen\nSM-1,2026-03-02,Moro,5,a,b\nSM-1,2026-03-03,Moro,5,,b\nSM-1,2026-03-04,Moro,5,,\n'
    expect(await sessions(csv, 'columns: {Said: note, Seen: note}\n')).toEqual([
      'SM-1,2026-03-02,,moro,midline,,5,,,,,a',
      'SM-1,2026-03-03,,moro,midline,,5,,,,,b',
      'SM-1,2026-03-04,,moro,midline,,5,,,,,',
    ])
  })

  it('for "no value" and for "as in the row above" in a note', async () => {
    const csv =
      'Client ID,Date,Target,Reps,Note\nSM-1,2026-03-02,Moro,5,tired\nSM-1,2026-03-03,Moro,5,\nSM-1,2026-03-04,Moro,5,-\n'
    expect((await sessions(csv, 'no_value: {note: ["-"]}\n')).map((l) => l.split(',').at(-1))).toEqual([
      'tired',
      '',
      '',
    ])
    expect((await sessions(csv, 'fill_down: [note]\n')).map((l) => l.split(',').at(-1))).toEqual([
      'tired',
      'tired',
      '-',
    ])
  })
})
