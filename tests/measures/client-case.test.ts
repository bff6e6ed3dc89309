import { describe, expect, it } from 'vitest'
import { clientCase, isComputed } from '../../src/measures/index.ts'
import { log, prescribed, session } from './diary.ts'
import { client, on, recordsOf, scores } from './rows.ts'

const asOf = on('2024-06-30')
const A = client('a', '2016-06-30')

const records = recordsOf({
  clients: [A, client('b', null)],
  assessments: [
    ...scores('a', 'rooting', 'left', [
      ['2024-01-01', 4],
      ['2024-02-01', 3],
      ['2024-03-01', 4],
      ['2024-04-01', 3],
      ['2024-05-01', 2],
      ['2024-06-01', 1],
    ]),
    ...scores('a', 'rooting', 'right', [
      ['2024-01-01', 2],
      ['2024-03-01', 2],
      ['2024-06-01', 1],
    ]),
    ...scores('a', 'moro', 'midline', [['2024-06-01', 1]]),
    ...scores('b', 'moro', 'midline', [['2024-06-01', 3]]),
  ],
  programmes: [
    prescribed('a', 'rooting', 'left', '2024-03-01', '2024-04-30'),
    prescribed('a', 'rooting', 'left', '2024-05-01', null, { sessions_per_day: 4, stimulus: 'electrical' }),
    prescribed('a', 'rooting', 'right', '2024-03-01', null),
  ],
  sessions: [
    ...log('a', 'rooting', 'left', '2024-03-01', [3, 3]),
    session('a', 'rooting', 'left', '2024-05-02', { stimulus: 'electrical', intensity: 2, reaction: 'skin' }),
    session('a', 'rooting', 'left', '2024-05-02', { stimulus: 'electrical', intensity: 3 }),
    session('b', 'moro', 'midline', '2024-05-02', { reaction: 'skin' }),
  ],
})
const one = clientCase(records, 'a', { asOf })
const leftCase = one.cases.find((c) => c.seriesId === 'rooting/left/a')!

describe('one client', () => {
  it('has phase A up to the start, the start day included, and phase B after it', () => {
    expect(leftCase.before.map((o) => o.score)).toEqual([4, 3, 4])
    expect(leftCase.after.map((o) => o.score)).toEqual([3, 2, 1])
  })

  it('counts non-overlap as improvement by decrease', () => {
    // A 4, 3, 4; B 3, 2, 1: of 9 pairs B is lower in 8 and ties once (3, 3): (8 + 0.5) / 9.
    if (!isComputed(leftCase.nonOverlap)) throw new Error(leftCase.nonOverlap.notComputed)
    expect(leftCase.nonOverlap).toMatchObject({ pairs: 9, pairsBetter: 8, pairsTied: 1, pairsWorse: 0 })
    expect(leftCase.nonOverlap.nap).toBeCloseTo(8.5 / 9, 12)
  })

  it('takes the trend of the baseline off in Tau-U', () => {
    // Between 8 − 0 = 8. Within A (down is better): 4→3 better, 4→4 tied, 3→4 worse: 0. (8 − 0) / 9.
    if (!isComputed(leftCase.tauU)) throw new Error(leftCase.tauU.notComputed)
    expect(leftCase.tauU.sBetween).toBe(8)
    expect(leftCase.tauU.sTrendA).toBeCloseTo(0, 12)
    expect(leftCase.tauU.minusTrendAOverBetweenPairs).toBeCloseTo(8 / 9, 12)
  })

  it('makes a randomisation test only where the start was drawn at random', () => {
    expect(leftCase.randomisationTest).toMatchObject({
      notComputed: expect.stringContaining('drawn at random'),
    })
    const drawn = clientCase(records, 'a', { asOf, startDrawnAtRandom: { fewestBefore: 2, fewestAfter: 2 } })
    const test = drawn.cases.find((c) => c.seriesId === 'rooting/left/a')!.randomisationTest
    if (!isComputed(test)) throw new Error(test.notComputed)
    // Starts at 2, 3 or 4: B − A is 2.5 − 3.5 = −1; 2 − 11/3 = −5/3; 1.5 − 3.5 = −2. The real one, −5/3, is second of three.
    expect(test.statistic).toBeCloseTo(-5 / 3, 12)
    expect(test.pLess).toBeCloseTo(2 / 3, 12)
  })

  it('says why a series without a programme has no phases', () => {
    const moro = one.cases.find((c) => c.seriesId === 'moro/midline/a')!
    expect(moro.nonOverlap).toMatchObject({ notComputed: expect.stringContaining('this series has none') })
    expect(one).toMatchObject({
      enrolled: 3,
      n: 2,
      exclusions: [{ reason: 'fewer than 2 occasions', count: 1 }],
    })
  })

  it('follows the gap between sides on days when both were scored', () => {
    const [rooting] = one.asymmetries
    // 1 January 4 − 2, 1 March 4 − 2, 1 June 1 − 1, of 4.
    expect(rooting!.n).toBe(3)
    expect(rooting!.occasions.map((o) => o.difference)).toEqual([0.5, null, 0.5, null, null, 0])
    expect(rooting!.last).toMatchObject({ day: on('2024-06-01'), difference: 0 })
    // Slopes of |difference|: 0 over the first pair, −0.5 over 152 and over 92 days: the median is −0.5 / 152 a day.
    if (!isComputed(rooting!.trend)) throw new Error(rooting!.trend.notComputed)
    expect(rooting!.trend.slope).toBeCloseTo((-0.5 / 152) * 30.4375, 12)
  })

  it('tells change from measuring error, and no more than that', () => {
    // Baselines 4, 2 (start day), and first scores 1 and 3: SD of 4, 2, 1, 3 = √(5/3); difference 1.60 points, assumed.
    const left = one.changes.find((c) => c.status.series.id === 'rooting/left/a')!
    expect(left.exceeds).toBe(true) // 4 to 1
    expect(left.sentence).toBe(
      '4 on 2024-03-01, 1 on 2024-06-01: more than measuring error of 1.6 points (assumed). Whether growing up or the programme did it cannot be told from one client.',
    )
    const right = one.changes.find((c) => c.status.series.id === 'rooting/right/a')!
    expect(right.exceeds).toBe(false) // 2 to 1
    const moro = one.changes.find((c) => c.status.series.id === 'moro/midline/a')!
    expect(moro.exceeds).toBeNull()
  })

  it('lays lines, levels, scores and reactions on one time axis', () => {
    const { timeline } = one
    expect(timeline.lines.map((l) => [l.side, l.from, l.to, l.dose])).toEqual([
      ['left', on('2024-03-01'), on('2024-04-30'), '3 sessions a day, 10 repetitions, brush'],
      ['right', on('2024-03-01'), asOf, '3 sessions a day, 10 repetitions, brush'],
      ['left', on('2024-05-01'), asOf, '4 sessions a day, 10 repetitions, electrical'],
    ])
    expect(timeline.intensities).toEqual([{ day: on('2024-05-02'), intensity: 3 }])
    expect(timeline.reactions.map((r) => [r.day, r.reaction])).toEqual([[on('2024-05-02'), 'skin']])
    // 1 March: left 3 of 3, right none: 0.5. 2 May: left 2 of 4, right none: 0.25.
    expect(timeline.days[0]).toEqual({ day: on('2024-03-01'), dose: 0.5, logged: true })
    expect(timeline.days.find((d) => d.day === on('2024-05-02'))).toMatchObject({ dose: 0.25, logged: true })
    expect(timeline.days).toHaveLength(122) // 1 March to 30 June
  })

  it('cuts the programme into phases where lines change', () => {
    expect(one.phases.map((p) => [p.from, p.until, p.lines.length])).toEqual([
      [on('2024-03-01'), on('2024-04-30'), 2],
      [on('2024-05-01'), asOf, 2],
    ])
  })

  it('names the client that is not there', () => {
    expect(() => clientCase(records, 'A', { asOf })).toThrow('There is no client A')
  })
})
