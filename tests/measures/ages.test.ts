import { describe, expect, it } from 'vitest'
import { seriesAge } from '../../src/measures/index.ts'
import { client, on } from './rows.ts'

describe('age and the usual age of a reflex', () => {
  it('is corrected for prematurity under 24 months, which keeps a due reflex due', () => {
    // Born 30 weeks: 10 weeks = 70 days early. 15 July to 31 January is 200 days: 6.57 months, corrected (200 − 70) / 30.4375 = 4.27.
    const born30 = client('a', '2023-07-15', { gestation_weeks: 30 })
    const age = seriesAge(born30, 'moro', on('2024-01-31'))
    expect(age.ageMonths).toBeCloseTo(130 / 30.4375, 12)
    expect(age).toMatchObject({ upperAgeMonths: 6, standing: 'age-appropriate' })
    const term = client('a', '2023-07-15', { gestation_weeks: 40 })
    expect(seriesAge(term, 'moro', on('2024-01-31')).standing).toBe('past its usual age')
  })

  it('stops being corrected at 24 months: the step is the convention', () => {
    // 24 months are 730.5 days: 15 July 2022 + 730 days is 14 July 2024, + 731 is 15 July 2024.
    const early = client('a', '2022-07-15', { gestation_weeks: 30 })
    const before = seriesAge(early, 'extensor_plantar', on('2024-07-14'))
    const after = seriesAge(early, 'extensor_plantar', on('2024-07-15'))
    expect(before.ageMonths).toBeCloseTo((730 - 70) / 30.4375, 12)
    expect(after.ageMonths).toBeCloseTo(731 / 30.4375, 12)
    expect([before.standing, after.standing]).toEqual(['age-appropriate', 'past its usual age'])
  })

  it('takes the latest of all sources, so that nobody is late on the strictest table alone', () => {
    // Palmar grasp: 4 months by one source, 6 by two others; at 5 months it is not late.
    const baby = client('a', '2024-01-01', { gestation_weeks: 40 })
    expect(seriesAge(baby, 'palmar_grasp', on('2024-06-01')).standing).toBe('age-appropriate')
  })

  it('has no guess where the birth date is unknown', () => {
    expect(seriesAge(client('a', null), 'moro', on('2024-01-01'))).toEqual({
      ageMonths: null,
      upperAgeMonths: 6,
      standing: 'age unknown',
      assumedTerm: false,
    })
  })

  it('says where term was taken for granted', () => {
    expect(seriesAge(client('a', '2023-07-15'), 'moro', on('2024-01-31'))).toMatchObject({
      standing: 'past its usual age',
      assumedTerm: true,
    })
    expect(seriesAge(client('a', '2018-07-15'), 'moro', on('2024-01-31')).assumedTerm).toBe(false)
  })
})
