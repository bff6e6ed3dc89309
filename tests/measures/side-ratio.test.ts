import { describe, expect, it } from 'vitest'
import { adherence, type SideRatio } from '../../src/measures/index.ts'
import { log, prescribed } from './diary.ts'
import { client, on, recordsOf } from './rows.ts'

/** Left 20, right 10 repetitions once a day over 28 days: prescribed 2 : 1. */
function ratioOf(
  left: readonly number[],
  right: readonly number[],
  leftReps = 20,
  asOf = '2024-01-28',
): SideRatio {
  const records = recordsOf({
    clients: [client('a', null)],
    programmes: [
      prescribed('a', 'rooting', 'left', '2024-01-01', null, { sessions_per_day: 1, reps_per_session: 20 }),
      prescribed('a', 'rooting', 'right', '2024-01-01', null, { sessions_per_day: 1, reps_per_session: 10 }),
    ],
    sessions: [
      ...log('a', 'rooting', 'left', '2024-01-01', left, { reps: leftReps }),
      ...log('a', 'rooting', 'right', '2024-01-01', right, { reps: 10 }),
    ],
  })
  return adherence(records, { asOf: on(asOf) }).sideRatios[0]!
}
const days = (n: number) => Array<number>(n).fill(1)

describe('the side ratio', () => {
  it('is delivered left over right against the prescribed ratio', () => {
    // 10 × 20 = 200 against 10 × 10 = 100: 2, as prescribed (28 × 20 : 28 × 10).
    const r = ratioOf(days(10), days(10))
    expect(r.recent).toMatchObject({ ratio: 2, prescribedRatio: 2, leftDelivered: 200, rightDelivered: 100 })
    expect(r.flagged).toBe(false)
  })

  it('is flagged beyond 25 % either way, and not at exactly a quarter', () => {
    // Left 10 days × 25 = 250, right 10 × 10 = 100: ratio 2.5, which is exactly 1.25 × 2.
    expect(ratioOf(days(10), days(10), 25).flagged).toBe(false)
    expect(ratioOf(days(10), days(10), 26).flagged).toBe(true)
    // 16 × 10 = 160 : 100 = 1.6 = 2 / 1.25: exactly the limit; 15 × 10 is below it.
    expect(ratioOf(days(10), days(10), 16).flagged).toBe(false)
    expect(ratioOf(days(10), days(10), 15).flagged).toBe(true)
  })

  it('is infinite and flagged where only one side was done, and nothing where neither was', () => {
    expect(ratioOf(days(5), [])).toMatchObject({ flagged: true, recent: { ratio: Infinity } })
    expect(ratioOf([], days(5))).toMatchObject({ flagged: true, recent: { ratio: 0 } })
    expect(ratioOf([], [])).toMatchObject({ flagged: false, recent: { ratio: null, logDeviation: null } })
  })

  it('looks at the last 28 days', () => {
    // 56 days; left alone in the first 28, both in the last 28.
    const r = ratioOf(days(56), [...Array<number>(28).fill(0), ...days(28)], 20, '2024-02-25')
    expect(r.recent).toMatchObject({ from: on('2024-01-29'), to: on('2024-02-25'), ratio: 2 })
    expect(r.whole.ratio).toBe(4)
    expect(r.flagged).toBe(false)
  })

  it('needs a line on each side', () => {
    const records = recordsOf({
      clients: [client('a', null)],
      programmes: [prescribed('a', 'rooting', 'left', '2024-01-01', null)],
    })
    expect(adherence(records, { asOf: on('2024-01-28') }).sideRatios).toEqual([])
  })
})
