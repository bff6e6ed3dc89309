import { describe, expect, it } from 'vitest'
import { attentionList, visitGap } from '../../src/measures/index.ts'
import { log, prescribed, session } from './diary.ts'
import { client, on, recordsOf, scores } from './rows.ts'

const asOf = on('2024-06-30')
const list = (part: Parameters<typeof recordsOf>[0]) => attentionList(recordsOf(part), { asOf })
const OLD = '2015-01-01'
const reasons = (part: Parameters<typeof recordsOf>[0], id = 'a') =>
  list(part)
    .entries.find((e) => e.client_id === id)
    ?.reasons.map((r) => r.kind) ?? []

const daily = (id: string, from: string) =>
  prescribed(id, 'moro', 'midline', from, null, { sessions_per_day: 1 })

describe('the attention list', () => {
  it('has one entry a client, all reasons in it, most urgent first', () => {
    const r = list({
      clients: [client('a', OLD), client('b', OLD), client('c', OLD)],
      assessments: [
        // b: integrated, and rising elsewhere.
        ...scores('b', 'moro', 'midline', [
          ['2024-01-01', 3],
          ['2024-02-01', 0],
          ['2024-03-01', 0],
        ]),
        ...scores('b', 'snout', 'midline', [
          ['2024-01-01', 0.5],
          ['2024-06-01', 4],
        ]),
        ...scores('a', 'moro', 'midline', [
          ['2024-01-01', 1],
          ['2024-06-01', 1],
        ]),
      ],
      sessions: [session('a', 'moro', 'midline', '2024-06-25', { reaction: 'seizure' })],
    })
    expect(r.entries.map((e) => [e.client_id, e.kind])).toEqual([
      ['a', 'look today'],
      ['b', 'rising'],
    ])
    expect(r.entries[1]!.reasons.map((x) => x.kind)).toEqual(['rising', 'integrated'])
    expect(r.entries[1]!.seriesIds).toEqual(['snout/midline/b', 'moro/midline/b'])
    expect(r.entries[1]!.reasons[1]!.evidence).toContain('For information.')
    expect(r.counts).toMatchObject({ 'look today': 1, rising: 1, integrated: 1, stuck: 0 })
  })

  it('leaves discharged clients out, counted', () => {
    const r = list({
      clients: [client('a', OLD, { discharged_on: on('2024-06-01') }), client('b', OLD)],
      assessments: scores('a', 'moro', 'midline', [
        ['2024-01-01', 0.5],
        ['2024-05-01', 4],
      ]),
    })
    expect(r).toMatchObject({ entries: [], enrolled: 2, n: 1 })
  })

  it('lists a line that was not started 7 days after its start', () => {
    const at = (from: string) =>
      reasons({ clients: [client('a', OLD)], programmes: [daily('a', from)] }).filter(
        (k) => k === 'not started',
      )
    expect(at('2024-06-23')).toEqual(['not started'])
    expect(at('2024-06-24')).toEqual([])
    // One line done, the other never: the other is named.
    const r = list({
      clients: [client('a', OLD)],
      programmes: [daily('a', '2024-06-01'), prescribed('a', 'rooting', 'left', '2024-06-01', null)],
      sessions: log('a', 'moro', 'midline', '2024-06-01', Array(30).fill(1)),
    })
    expect(r.entries[0]!.reasons.find((x) => x.kind === 'not started')!.evidence).toBe(
      'Rooting, left: started 2024-06-01, no session on record 29 days later.',
    )
  })

  it('lists days touched under 50 % of the last 28 line-days up to the last logged day', () => {
    // From 1 June to the last logged day 28 June are 28 days.
    const touched = (n: number) => {
      const perDay = Array(28).fill(0)
      for (let i = 0; i < n - 1; i++) perDay[i] = 1
      perDay[27] = 1
      return reasons({
        clients: [client('a', OLD)],
        programmes: [daily('a', '2024-06-01')],
        sessions: log('a', 'moro', 'midline', '2024-06-01', perDay),
      }).filter((k) => k === 'low adherence')
    }
    expect(touched(13)).toEqual(['low adherence'])
    expect(touched(14)).toEqual([]) // exactly a half
  })

  it('lists no diary for 14 days apart, which is not low adherence', () => {
    // Every day from 1 May to the last logged day.
    const last = (days: number) =>
      reasons({
        clients: [client('a', OLD)],
        assessments: scores('a', 'moro', 'midline', [
          ['2024-05-01', 2],
          ['2024-06-28', 2],
        ]),
        programmes: [daily('a', '2024-05-01')],
        sessions: log('a', 'moro', 'midline', '2024-05-01', Array(days).fill(1)),
      })
    // 47 days end on 16 June: 14 days before the as-of day; 48 on 17 June.
    expect(last(47)).toEqual(['no diary'])
    expect(last(48)).toEqual([])
  })

  it('lists who is stuck 12 weeks after the start, with the dose beside it', () => {
    const stuck = (start: string, after: string, score: number, birth = OLD) =>
      list({
        clients: [client('a', birth), client('z', OLD)],
        assessments: [
          ...scores('a', 'moro', 'midline', [
            [start, 3],
            [after, score],
          ]),
          // Another client gives the baselines a spread: 3 and 1, SD √2: assumed difference 1.96 √2 √2 √0.2 = 1.75.
          ...scores('z', 'moro', 'midline', [['2024-01-01', 1]]),
        ],
        programmes: [daily('a', start)],
        sessions: log('a', 'moro', 'midline', start, [1, 0, 1, 0]),
      })
        .entries.flatMap((e) => e.reasons)
        .filter((r) => r.kind === 'stuck')
    // 7 April + 84 = 30 June; scored 65 days after the start.
    const [found] = stuck('2024-04-07', '2024-06-11', 2)
    expect(found!.evidence).toBe(
      'Moro, midline: 3 before the start on 2024-04-07, 2 on 2024-06-11; no reliable change, dose 3 % as logged, 100 % on logged days.',
    )
    expect(stuck('2024-04-08', '2024-06-11', 2)).toEqual([]) // 83 days
    expect(stuck('2024-04-07', '2024-05-01', 2)).toEqual([]) // not scored near 12 weeks
    expect(stuck('2024-04-07', '2024-06-11', 1)).toEqual([]) // fading by 2
    expect(stuck('2024-04-07', '2024-06-11', 2, '2024-03-01')).toEqual([]) // due at that age
  })

  it('lists overdue visits: more than 1.5 times the clinic’s median gap while a programme runs', () => {
    // Gaps of b: 20, 30, 40 days: median 30; overdue after 45 days.
    const b = scores('b', 'snout', 'midline', [
      ['2024-01-01', 1],
      ['2024-01-21', 1],
      ['2024-02-20', 1],
      ['2024-03-31', 1],
    ])
    const at = (last: string, programmes = [daily('a', '2024-05-01')]) => {
      const part = {
        clients: [client('a', OLD), client('b', OLD)],
        assessments: [...b, ...scores('a', 'moro', 'midline', [[last, 1]])],
        programmes,
        sessions: log('a', 'moro', 'midline', '2024-05-01', Array(61).fill(1)),
      }
      expect(visitGap(recordsOf(part), { asOf })).toMatchObject({
        medianDays: 30,
        overdueAfterDays: 45,
        gaps: 3,
      })
      return reasons(part)
    }
    expect(at('2024-05-15')).toEqual(['overdue']) // 46 days
    expect(at('2024-05-16')).toEqual([]) // 45 days
    expect(at('2024-05-15', [])).toEqual([]) // no programme
  })

  it('assumes 42 days where no client was seen twice, and says so', () => {
    const r = list({ clients: [client('a', OLD)], programmes: [daily('a', '2024-05-01')] })
    expect(r.visitGap).toMatchObject({ medianDays: null, overdueAfterDays: 42, assumed: true })
    expect(r.assumptions.join(' ')).toContain('Assumed')
    expect(r.entries[0]!.reasons.map((x) => x.kind)).toContain('overdue')
  })
})
