import { describe, expect, it } from 'vitest'
import {
  type Client,
  compareCodePoints,
  csvOf,
  parseDay,
  type Records,
  type Session,
  sessionTable,
} from '../../src/records/index.ts'

const client = (client_id: string, more: Partial<Client> = {}): Client => ({
  client_id,
  birth_date: null,
  gestation_weeks: null,
  sex: null,
  site: null,
  clinician: null,
  group: null,
  enrolled_on: null,
  discharged_on: null,
  discharge_reason: null,
  cautions: [],
  research_consent: null,
  ...more,
})
const session = (more: Partial<Session>): Session => ({
  client_id: 'SM-1',
  done_on: parseDay('2026-03-01') as number,
  done_at: null,
  target: 'moro',
  side: 'midline',
  stimulus: null,
  reps: null,
  seconds: null,
  intensity: null,
  done_by: null,
  reaction: null,
  note: null,
  ...more,
})
const records = (more: Partial<Records>): Records => ({
  clients: [],
  assessments: [],
  programmes: [],
  sessions: sessionTable([]),
  problems: [],
  ...more,
})
const lines = (r: Records, table: Parameters<typeof csvOf>[1]): string[] =>
  [...csvOf(r, table)].join('').split('\n')

// The form is the contract's: exact columns, LF, ISO dates, empty for "not known", rows by their columns.
describe('a table as CSV', () => {
  it('has its headings even without rows', () => {
    expect(lines(records({}), 'assessments')).toEqual([
      'client_id,assessed_on,reflex,side,score,scale_max,rater_id',
      '',
    ])
  })

  it('quotes what must be quoted and changes no letter', () => {
    const odd = ['a"b', 'a,b', 'a\nb', 'a\rb', ' a ', '=1+1', '']
    const rows = odd.map((site, k) => client(`SM-${k}`, { site }))
    expect(
      [...csvOf(records({ clients: rows }), 'clients')]
        .join('')
        .slice(0, -1)
        .split(/\n(?=SM-)/)
        .slice(1),
    ).toEqual([
      'SM-0,,,,"a""b",,,,,,,',
      'SM-1,,,,"a,b",,,,,,,',
      'SM-2,,,,"a\nb",,,,,,,',
      'SM-3,,,,"a\rb",,,,,,,',
      'SM-4,,,, a ,,,,,,,',
      'SM-5,,,,=1+1,,,,,,,',
      'SM-6,,,,,,,,,,,',
    ])
  })

  it('joins cautions and writes dates and numbers plainly', () => {
    const one = client('SM-1', {
      birth_date: parseDay('2020-02-29'),
      gestation_weeks: 38,
      cautions: ['seizures', 'skin'],
    })
    expect(lines(records({ clients: [one] }), 'clients')[1]).toBe('SM-1,2020-02-29,38,,,,,,,,seizures;skin,')
    const tiny = records({ sessions: sessionTable([session({ reps: 1e-7, seconds: 1e21 })]) })
    expect(lines(tiny, 'sessions')[1]).toBe(
      'SM-1,2026-03-01,,moro,midline,,0.0000001,1000000000000000000000,,,,',
    )
  })

  it('sorts empty first, numbers by value, text by code point', () => {
    const rows = [
      { reps: 10 },
      { reps: 9 },
      { reps: null },
      { reps: 9, note: '\u{1f9f8}' },
      { reps: 9, note: '\uff21' },
    ].map(session)
    expect(
      lines(records({ sessions: sessionTable(rows) }), 'sessions')
        .slice(1, -1)
        .map((l) =>
          l
            .split(',')
            .filter((_, k) => k === 6 || k === 11)
            .join(),
        ),
    ).toEqual([',', '9,', '9,\uff21', '9,\u{1f9f8}', '10,'])
  })

  it('sorts many sessions as a plain sort of their lines would', () => {
    // Values whose order as text is their order by value, so that a plain sort of lines is the answer.
    const rows = Array.from({ length: 3000 }, (_, k) =>
      session({
        client_id: `SM-${(k * 7919) % 50}`.padEnd(6, 'x'),
        done_on: (parseDay('2026-01-01') as number) + ((k * 104_729) % 60),
        done_at: [null, '08:00', '09:30'][k % 3] as string | null,
        reps: 100 + ((k * 31) % 17),
      }),
    )
    const found = lines(records({ sessions: sessionTable(rows) }), 'sessions').slice(1, -1)
    expect(found).toHaveLength(3000)
    expect(found).toEqual([...found].sort())
  })
})

describe('order by code point', () => {
  it('agrees with the bytes of UTF-8, which sort by code point by design (RFC 3629)', () => {
    const words = [
      '',
      'a',
      'ab',
      'b',
      'é',
      '\ud7ff',
      '\ue000',
      '\uffff',
      '\u{10000}',
      '\u{1f9f8}',
      'a\u{1f9f8}',
      'a\uffff',
    ]
    for (const a of words)
      for (const b of words)
        expect(Math.sign(compareCodePoints(a, b))).toBe(
          Math.sign(Buffer.compare(Buffer.from(a), Buffer.from(b))),
        )
  })
})
