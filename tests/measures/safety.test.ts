import { describe, expect, it } from 'vitest'
import { reactionEvents, type SafetyKind, safetyList } from '../../src/measures/index.ts'
import type { Client, Records, Session } from '../../src/records/index.ts'
import { log, prescribed, session } from './diary.ts'
import { client, on, recordsOf, scores } from './rows.ts'

const AS_OF = '2024-06-30'
const asOf = on(AS_OF)
const CAUTIONS_KNOWN = { cautions: ['shunt'] as const }
const adult = (changes: Partial<Client> = {}) => client('a', '1990-01-01', { ...CAUTIONS_KNOWN, ...changes })
const list = (part: Parameters<typeof recordsOf>[0], options = {}) =>
  safetyList(recordsOf(part), { asOf, ...options })
const kinds = (entries: readonly { readonly kind: SafetyKind }[]) => entries.map((e) => e.kind)
const react = (date: string, reaction: Session['reaction'], changes: Partial<Session> = {}) =>
  session('a', 'rooting', 'left', date, { reaction, ...changes })

describe('reactions on the same-day list', () => {
  it('are seizure, colour and breathing, most urgent first', () => {
    const r = list({
      clients: [adult()],
      sessions: [
        react('2024-06-20', 'colour'),
        react('2024-06-21', 'breathing'),
        react('2024-06-22', 'seizure'),
        react('2024-06-23', 'skin'),
        react('2024-06-23', 'distress'),
        react('2024-06-23', 'none'),
        react('2024-06-23', null),
      ],
    })
    expect(kinds(r.today)).toEqual(['seizure reaction', 'breathing reaction', 'colour reaction'])
    expect(r.today[0]!.evidence).toBe('Seizure recorded on 2024-06-22 (Rooting, left, brush).')
    expect(r.today[0]!.whoLooks).toContain('licensed clinician')
    expect(r.today[0]!.seriesIds).toEqual(['rooting/left/a'])
  })

  it('are of the last 14 days; older ones are known', () => {
    // 14 days before 30 June is 16 June.
    const at = (date: string, options = {}) => {
      const r = list({ clients: [adult()], sessions: [react(date, 'seizure')] }, options)
      return [r.today.length, r.known.length]
    }
    expect(at('2024-06-30')).toEqual([1, 0])
    expect(at('2024-06-16')).toEqual([1, 0])
    expect(at('2024-06-15')).toEqual([0, 1])
    expect(at('2024-06-15', { since: on('2024-06-01') })).toEqual([1, 0])
    // After the as-of day.
    expect(at('2024-07-01')).toEqual([0, 0])
  })

  it('are one entry a client and kind, with how many more', () => {
    const r = list({
      clients: [adult()],
      sessions: [
        react('2024-05-01', 'seizure'),
        react('2024-06-20', 'seizure'),
        react('2024-06-22', 'seizure'),
      ],
    })
    expect(r.today).toHaveLength(1)
    expect(r.today[0]).toMatchObject({ recent: 2, earlier: 1, lastOn: on('2024-06-22') })
    expect(r.today[0]!.evidence).toContain('2 more on record since 2024-05-01')
  })

  it('leave discharged clients out, counted', () => {
    const gone = adult({ discharged_on: on('2024-06-25') })
    const r = list({ clients: [gone], sessions: [react('2024-06-22', 'seizure')] })
    expect([r.today, r.known]).toEqual([[], []])
    expect(r).toMatchObject({ enrolled: 1, n: 0, exclusions: [{ reason: 'discharged', count: 1 }] })
    const notYet = adult({ discharged_on: on('2024-07-25') })
    expect(list({ clients: [notYet], sessions: [react('2024-06-22', 'seizure')] }).today).toHaveLength(1)
  })

  it('count vomiting and sleepy with a shunt only (common practice)', () => {
    const sessions = [react('2024-06-20', 'vomiting'), react('2024-06-21', 'sleepy')]
    const r = list({ clients: [adult()], sessions })
    expect(kinds(r.today)).toEqual(['vomiting or sleepy with a shunt'])
    expect(r.today[0]).toMatchObject({ commonPractice: true, recent: 2 })
    expect(list({ clients: [adult({ cautions: ['skin'] })], sessions }).today).toEqual([])
  })

  it('count left and right rows equal in all else as one', () => {
    const { events } = reactionEvents(
      recordsOf({
        clients: [],
        sessions: [
          react('2024-06-20', 'skin'),
          react('2024-06-20', 'skin', { side: 'right' }),
          react('2024-06-21', 'skin', { done_at: '08:00' }),
          react('2024-06-21', 'skin', { done_at: '18:00', side: 'right' }),
        ],
      }).sessions,
      { asOf },
    )
    expect(events.map((e) => e.sides)).toEqual([['left', 'right'], ['left'], ['right']])
  })
})

describe('a reaction that could not be read', () => {
  const base = recordsOf({ clients: [adult()] })

  it('is listed: look at the record', () => {
    const records: Records = {
      ...base,
      problems: [
        {
          file: 'log.csv',
          record: 7,
          field: 'reaction',
          value: 'turned blu',
          rule: 'unknown_value',
          outcome: 'emptied',
        },
        {
          file: 'log.csv',
          record: 8,
          field: 'reps',
          value: 'x',
          rule: 'unreadable_number',
          outcome: 'emptied',
        },
      ],
    }
    const r = safetyList(records, { asOf })
    expect(kinds(r.today)).toEqual(['unread reaction'])
    expect(r.today[0]!.evidence).toBe(
      'Unread: look at the record. log.csv, record 7: “turned blu” for the reaction.',
    )
  })

  it('is listed where its session was rejected', () => {
    const records: Records = {
      ...base,
      unreadReactions: [
        {
          file: 'log.csv',
          record: 9,
          value: 'seizure',
          why: 'session rejected',
          client_id: 'a',
          done_on: null,
        },
      ],
    }
    const r = safetyList(records, { asOf })
    expect(r.today[0]).toMatchObject({ client_id: 'a', kind: 'unread reaction' })
    expect(r.today[0]!.evidence).toContain('on a session that was rejected')
  })

  it('is one entry a client and text, and known where all of them are old', () => {
    const unread = (record: number, date: string, value: string) => ({
      file: 'log.csv',
      record,
      value,
      why: 'unreadable' as const,
      client_id: 'a',
      done_on: on(date),
    })
    const r = safetyList(
      {
        ...base,
        unreadReactions: [
          unread(3, '2024-01-01', 'ok?'),
          unread(4, '2024-06-29', 'ok?'),
          unread(5, '2024-01-02', 'hm'),
        ],
      },
      { asOf },
    )
    expect(r.today.map((e) => [e.recent, e.earlier, e.evidence])).toEqual([
      [1, 1, 'Unread: look at the record. log.csv, record 3 and 1 more: “ok?” for the reaction.'],
    ])
    expect(r.known.map((e) => e.evidence)).toEqual([
      'Unread: look at the record. log.csv, record 5: “hm” for the reaction.',
    ])
  })
})

describe('reflexes on the same-day list', () => {
  it('a returned one, on the day it was back', () => {
    const rows = (back: string) =>
      scores('a', 'moro', 'midline', [
        ['2024-01-01', 3],
        ['2024-02-01', 0],
        ['2024-03-01', 0],
        [back, 2],
      ])
    const r = list({ clients: [adult()], assessments: rows('2024-06-20') })
    expect(kinds(r.today)).toEqual(['returned reflex'])
    expect(r.today[0]!.evidence).toContain('absent from 2024-02-01, positive again on 2024-06-20')
    expect(kinds(list({ clients: [adult()], assessments: rows('2024-04-01') }).known)).toEqual([
      'returned reflex',
    ])
  })

  const plantar = (rows: readonly (readonly [string, number])[], birth: string | null) => {
    const r = list({
      clients: [client('a', birth)],
      assessments: scores('a', 'extensor_plantar', 'left', rows),
    })
    return [kinds(r.today), kinds(r.known)]
  }
  const FOUND = ['extensor plantar past 24 months']

  it('extensor plantar, new and past 24 months', () => {
    expect(
      plantar(
        [
          ['2024-05-01', 0],
          ['2024-06-20', 1],
        ],
        '2020-01-01',
      ),
    ).toEqual([FOUND, []])
    // Positive at the assessment before: known. Not positive at the last: nothing.
    expect(
      plantar(
        [
          ['2024-05-01', 1],
          ['2024-06-20', 1],
        ],
        '2020-01-01',
      ),
    ).toEqual([[], FOUND])
    expect(
      plantar(
        [
          ['2024-05-01', 1],
          ['2024-06-20', 0],
        ],
        '2020-01-01',
      ),
    ).toEqual([[], []])
    // The first score ever is new.
    expect(plantar([['2024-06-20', 2]], '2020-01-01')).toEqual([FOUND, []])
    // New, but more than 14 days ago.
    expect(
      plantar(
        [
          ['2024-01-01', 0],
          ['2024-05-20', 1],
        ],
        '2020-01-01',
      ),
    ).toEqual([[], FOUND])
  })

  it('extensor plantar by chronological age: 24 months are 730.5 days', () => {
    // Born 21 June 2022: 20 June 2024 is day 730 (23.98 months), 21 June day 731.
    expect(plantar([['2024-06-20', 1]], '2022-06-21')).toEqual([[], []])
    expect(plantar([['2024-06-21', 1]], '2022-06-21')).toEqual([FOUND, []])
    // Positive before and after that birthday: at the assessment before it was not yet past 24 months.
    expect(
      plantar(
        [
          ['2024-06-01', 1],
          ['2024-06-21', 1],
        ],
        '2022-06-21',
      ),
    ).toEqual([FOUND, []])
  })

  it('extensor plantar at an unknown age is known, and says so', () => {
    expect(plantar([['2024-06-20', 1]], null)).toEqual([[], FOUND])
  })
})

describe('stimulation on the same-day list', () => {
  const electrical = (changes: Partial<Client>, sessions: Session[], birth: string | null = '1990-01-01') =>
    kinds(list({ clients: [client('a', birth, changes)], sessions }).today)
  const now = log('a', 'rooting', 'left', '2024-06-20', [1, 1], { stimulus: 'electrical', intensity: 3 })

  it('electrical with each caution that asks for it, and no other', () => {
    for (const [caution, kind] of [
      ['implanted_device', 'electrical stimulation, implanted device'],
      ['heart_rhythm', 'electrical stimulation, heart rhythm'],
      ['seizures', 'electrical stimulation, seizures'],
      ['pregnancy', 'electrical stimulation, pregnancy'],
      ['skin', 'electrical stimulation, skin'],
    ] as const)
      expect(electrical({ cautions: [caution] }, now)).toEqual([kind])
    expect(electrical({ cautions: ['shunt'] }, now)).toEqual([])
    expect(electrical({ cautions: ['fracture_risk'] }, now)).toEqual([])
  })

  it('electrical with no cautions on record: a blank is never none', () => {
    expect(electrical({ cautions: [] }, now)).toEqual(['electrical stimulation, cautions not recorded'])
    expect(electrical({ cautions: ['shunt'] }, now, null)).toEqual([
      'electrical stimulation, birth date not recorded',
    ])
  })

  it('electrical under 24 months', () => {
    expect(electrical({ cautions: ['shunt'] }, now, '2022-06-22')).toEqual([
      'electrical stimulation, under 24 months',
    ])
    // Born 20 June 2022: 20 June 2024 is 731 days old.
    expect(electrical({ cautions: ['shunt'] }, now, '2022-06-20')).toEqual([])
  })

  it('electrical that is prescribed, without a session', () => {
    const r = list({
      clients: [client('a', '1990-01-01', { cautions: ['seizures'] })],
      programmes: [prescribed('a', 'rooting', 'left', '2024-01-01', null, { stimulus: 'electrical' })],
    })
    expect(kinds(r.today)).toEqual(['electrical stimulation, seizures'])
    expect(r.today[0]!.evidence).toBe(
      'Electrical stimulation on record from 2024-01-01 to 2024-06-30 (1 programme line); caution on record: seizures.',
    )
  })

  it('electrical two or more levels above the last session of that reflex and side', () => {
    const level = (date: string, intensity: number | null, changes: Partial<Session> = {}) =>
      session('a', 'rooting', 'left', date, { stimulus: 'electrical', intensity, ...changes })
    const known = { cautions: ['shunt'] as const }
    const JUMP = ['electrical stimulation, level raised by two or more']
    expect(electrical(known, [level('2024-06-20', 2), level('2024-06-21', 3)])).toEqual([])
    expect(electrical(known, [level('2024-06-20', 2), level('2024-06-21', 4)])).toEqual(JUMP)
    // The session between has no level: the last known one counts.
    expect(
      electrical(known, [level('2024-06-19', 2), level('2024-06-20', null), level('2024-06-21', 4)]),
    ).toEqual(JUMP)
    // The first on another side is set against the last session of any; after that each side has its own level.
    const right = (date: string, intensity: number) => level(date, intensity, { side: 'right' })
    expect(electrical(known, [level('2024-06-20', 2), right('2024-06-21', 4)])).toEqual(JUMP)
    expect(
      electrical(known, [
        level('2024-05-20', 2),
        right('2024-05-21', 4),
        level('2024-06-20', 2),
        right('2024-06-21', 4),
      ]),
    ).toEqual([])
    // Falling by two is not a raise.
    expect(electrical(known, [level('2024-06-20', 4), level('2024-06-21', 2)])).toEqual([])
  })

  it('vibration with a fracture risk (common practice)', () => {
    const vibration = log('a', 'rooting', 'left', '2024-06-20', [1], { stimulus: 'vibration' })
    expect(electrical({ cautions: ['fracture_risk'] }, vibration)).toEqual(['vibration, fracture risk'])
    expect(electrical({ cautions: ['skin'] }, vibration)).toEqual([])
  })

  it('never says to start, stop or change anything', () => {
    const r = list({
      clients: [
        client('a', null, { cautions: ['seizures', 'skin', 'implanted_device', 'fracture_risk', 'shunt'] }),
      ],
      sessions: [
        ...now,
        session('a', 'moro', 'midline', '2024-06-25', { stimulus: 'vibration', reaction: 'seizure' }),
        session('a', 'moro', 'midline', '2024-06-25', { reaction: 'sleepy' }),
      ],
      assessments: scores('a', 'extensor_plantar', 'left', [['2024-06-20', 1]]),
    })
    const said = [...r.today, ...r.known].map((e) => `${e.evidence} ${e.whoLooks}`).join(' ')
    expect(said.length).toBeGreaterThan(200)
    expect(said).not.toMatch(/\b(stop|start|pause|change|reduce|increase|discontinue|should not|must not)\b/i)
  })
})
