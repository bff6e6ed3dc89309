import { describe, expect, it } from 'vitest'
import { commonPractice, isAbout, seriesAge } from '../../src/measures/index.ts'
import { CATALOGUE } from '../../src/records/index.ts'
import { prescribed } from './diary.ts'
import { client, on, recordsOf } from './rows.ts'

const asOf = on('2024-06-30')
const differs = (left: object, right: object) =>
  commonPractice(
    recordsOf({
      clients: [client('a', null)],
      programmes: [
        prescribed('a', 'rooting', 'left', '2024-01-01', null, left),
        prescribed('a', 'rooting', 'right', '2024-01-01', null, right),
      ],
    }),
    { asOf },
  ).notes.flatMap((n) => n.differs)

describe('facts of the trade (common practice, not evidence)', () => {
  it('common practice: three sessions a day at least', () => {
    const twenty = { reps_per_session: 20 }
    expect(differs(twenty, {})).toEqual([])
    expect(differs({ ...twenty, sessions_per_day: 4 }, { sessions_per_day: 4 })).toEqual([])
    expect(differs({ ...twenty, sessions_per_day: 2 }, {})).toEqual([
      '2 sessions a day on the left; common are at least 3',
    ])
  })

  it('common practice: about 20 repetitions on the emphasised side to 10 on the other', () => {
    expect(differs({ reps_per_session: 10 }, { reps_per_session: 20 })).toEqual([])
    expect(differs({ reps_per_session: 10 }, { reps_per_session: 10 })).toHaveLength(2)
    expect(differs({ reps_per_session: 60 }, { reps_per_session: 30 })).toEqual([
      '60 and 30 repetitions; common are about 20 and 10',
    ])
  })

  it('common practice: about a minute a set, two sets to one', () => {
    const timed = (seconds: number) => ({ reps_per_session: null, seconds_per_session: seconds })
    expect(differs(timed(120), timed(60))).toEqual([])
    expect(differs(timed(60), timed(60))).toHaveLength(2)
  })

  it('common practice: the cheek-to-mouth response is a late sign past about 12 months', () => {
    expect(CATALOGUE.rooting.ages.find((a) => a.source === 'common practice')?.toMonths).toBe(12)
    const born = client('a', '2023-01-01', { gestation_weeks: 40 })
    expect(seriesAge(born, 'rooting', on('2023-11-30')).standing).toBe('age-appropriate')
    expect(seriesAge(born, 'rooting', on('2024-02-01')).standing).toBe('past its usual age')
  })

  it('common practice: the sole response is expected to go between 6 and 12 months', () => {
    expect(CATALOGUE.extensor_plantar.ages.find((a) => a.source === 'common practice')).toMatchObject({
      fromMonths: 6,
      toMonths: 12,
    })
  })

  it('“about” is within a quarter either way', () => {
    expect([16, 20, 25].every((x) => isAbout(x, 20))).toBe(true)
    expect([15, 26].some((x) => isAbout(x, 20))).toBe(false)
  })

  it('accounts for every client and target, and marks each note as custom', () => {
    const r = commonPractice(
      recordsOf({
        clients: [client('a', null), client('b', null)],
        programmes: [
          prescribed('a', 'moro', 'midline', '2024-01-01', null, { sessions_per_day: 1 }),
          prescribed('b', 'moro', 'midline', '2024-01-01', '2024-02-01'),
        ],
      }),
      { asOf },
    )
    expect(r).toMatchObject({ enrolled: 2, n: 1, asCommon: 0 })
    expect(r.notes[0]!.basis).toBe('common practice')
  })
})
