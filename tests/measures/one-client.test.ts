import { describe, expect, it } from 'vitest'
import { clientCase, safetyList } from '../../src/measures/index.ts'
import { log, prescribed, session } from './diary.ts'
import { client, on, recordsOf, scores } from './rows.ts'

const asOf = on('2024-06-30')
const electrical = (date: string, intensity: number) =>
  session('a', 'moro', 'midline', date, { stimulus: 'electrical', intensity })
const both = ['a', 'b']
const records = recordsOf({
  clients: both.map((id) => client(id, '2016-06-30')),
  assessments: both.flatMap((id) => scores(id, 'rooting', 'left', [['2024-05-01', 3]])),
  programmes: both.flatMap((id) => [
    prescribed(id, 'rooting', 'left', '2024-06-01', null),
    prescribed(id, 'rooting', 'right', '2024-06-01', null),
  ]),
  sessions: [
    // A seizure each within 14 days, and one each before.
    ...both.flatMap((id) => [
      session(id, 'rooting', 'left', '2024-06-25', { reaction: 'seizure' }),
      session(id, 'rooting', 'right', '2024-03-01', { reaction: 'breathing' }),
      ...log(id, 'rooting', 'left', '2024-06-26', [3, 3]),
    ]),
    electrical('2024-06-29', 1),
    electrical('2024-06-29', 3),
    electrical('2024-06-29', 2),
    electrical('2024-06-28', 2),
    electrical('2024-06-30', 4),
    electrical('2024-07-01', 5),
  ],
})

describe('the case of one client', () => {
  it.each(both)('holds what is on record of %s, and nothing of anybody else', (id) => {
    const one = clientCase(records, id, { asOf })
    expect(one.safetyToday.length).toBeGreaterThan(0)
    expect(one.safetyKnown.length).toBeGreaterThan(0)
    expect(one.sideRatios).toHaveLength(1)
    expect(one.lines).toHaveLength(2)
    const rows = [
      ...one.safetyToday,
      ...one.safetyKnown,
      ...one.sideRatios,
      ...one.lines,
      ...one.timeline.reactions,
    ]
    expect(new Set(rows.map((row) => row.client_id))).toEqual(new Set([id]))
    expect(one.changes.map((c) => c.status.series.client_id)).toEqual([id])
    expect(one.timeline.reactions).toHaveLength(2)
    expect(one.adherence?.client_id).toBe(id)
  })

  it('has the highest level of the device of each day, up to the as-of day, in order', () => {
    const { intensities } = clientCase(records, 'a', { asOf }).timeline
    expect(intensities).toEqual([
      { day: on('2024-06-28'), intensity: 2 },
      { day: on('2024-06-29'), intensity: 3 },
      { day: on('2024-06-30'), intensity: 4 },
    ])
  })
})

// Amendments: "Same-day list: clients not discharged"; "a reaction unreadable or on a rejected session is listed".
describe('a reaction that nobody could read', () => {
  const unread = (client_id: string | null, record: number) => ({
    file: 'log.csv',
    record,
    value: 'fit?',
    why: 'unreadable' as const,
    client_id,
    done_on: on('2024-06-25'),
  })

  it('is listed for who is here or unknown, not for who has left', () => {
    const { today, known } = safetyList(
      {
        ...recordsOf({
          clients: [client('here', null), client('left', null, { discharged_on: on('2024-06-30') })],
        }),
        unreadReactions: [unread('here', 1), unread('left', 2), unread(null, 3), unread('no such client', 4)],
      },
      { asOf },
    )
    expect(today.map((e) => e.client_id)).toEqual(expect.arrayContaining(['here', null, 'no such client']))
    expect([...today, ...known]).toHaveLength(3)
  })
})
