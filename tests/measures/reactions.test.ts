import { describe, expect, it } from 'vitest'
import { reactions } from '../../src/measures/index.ts'
import { session, times } from './diary.ts'
import { client, on, recordsOf } from './rows.ts'

const asOf = on('2024-06-30')

describe('reactions per 1,000 sessions asked', () => {
  const brush = session('a', 'rooting', 'left', '2024-06-01', { reaction: 'none' })
  const r = reactions(
    recordsOf({
      clients: [client('a', null)],
      sessions: [
        // Brush: 10 asked, 2 not asked; skin on both sides at once is one, distress on the left is one: 2 of 10.
        ...times(7, brush),
        { ...brush, reaction: 'skin', reps: 12 },
        { ...brush, reaction: 'skin', reps: 12, side: 'right' },
        { ...brush, reaction: 'distress' },
        ...times(2, { ...brush, reaction: null }),
        // Vibration: 5 asked, none.
        ...times(5, { ...brush, stimulus: 'vibration' }),
        // Stimulus not recorded: not asked.
        { ...brush, stimulus: null, reaction: null },
        // After the as-of day: not counted at all.
        { ...brush, done_on: asOf + 1, reaction: 'seizure' },
      ],
    }),
    { asOf },
  )

  it('divides by those asked, by stimulus', () => {
    expect(r.byStimulus.map((s) => [s.stimulus, s.asked, s.notAsked, s.reactions, s.rate])).toEqual([
      ['brush', 10, 2, 2, 200],
      ['vibration', 5, 0, 0, 0],
      ['not recorded', 0, 1, 0, null],
    ])
    expect(r.byStimulus[0]!.byReaction).toMatchObject({ skin: 1, distress: 1, seizure: 0 })
    expect(r.all).toMatchObject({ asked: 15, reactions: 2 })
    expect(r).toMatchObject({ enrolled: 18, n: 15, exclusions: [{ reason: 'reaction not asked', count: 3 }] })
  })

  it('has exact Poisson limits', () => {
    // Of 0 events the upper limit is −ln 0.025 = 3.688879: 1000 × 3.688879 / 5.
    expect(r.byStimulus[1]).toMatchObject({ lower: 0 })
    expect(r.byStimulus[1]!.upper).toBeCloseTo((1000 * -Math.log(0.025)) / 5, 8)
    // Of 2 events the limits are 0.242209 and 7.224687 (Garwood 1936, Biometrika 28:437-442; R's poisson.test(2)): over 10 / 1000.
    expect(r.byStimulus[0]!.lower).toBeCloseTo(24.2209, 3)
    expect(r.byStimulus[0]!.upper).toBeCloseTo(722.4687, 3)
  })

  it('says not computed by null where none was asked, never 0', () => {
    expect(r.byStimulus[2]).toMatchObject({ rate: null, lower: null, upper: null })
  })
})
