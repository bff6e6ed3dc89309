import { describe, expect, it } from 'vitest'
import { ageMonths, chronologicalAgeMonths, DAYS_PER_MONTH, parseDay } from '../../src/records/index.ts'

const born = (birth: string | null, weeks: number | null) => ({
  birth_date: birth === null ? null : (parseDay(birth) as number),
  gestation_weeks: weeks,
})
const on = (text: string): number => parseDay(text) as number

describe('age in months', () => {
  it('is chronological from term on', () => {
    // 2025-01-01 to 2026-01-01 is 365 days: 365 / 30.4375 months.
    expect(ageMonths(born('2025-01-01', 40), on('2026-01-01'))).toBeCloseTo(365 / 30.4375, 12)
    expect(ageMonths(born('2025-01-01', 37), on('2026-01-01'))).toBeCloseTo(365 / 30.4375, 12)
  })

  it('is corrected under 24 months by the weeks missing to 40, for births before 37 weeks', () => {
    // born at 30 weeks: 10 weeks = 70 days are taken off.
    expect(ageMonths(born('2025-01-01', 30), on('2026-01-01'))).toBeCloseTo((365 - 70) / 30.4375, 12)
    expect(ageMonths(born('2025-01-01', 36), on('2026-01-01'))).toBeCloseTo((365 - 28) / 30.4375, 12)
  })

  it('stops being corrected at 24 months: a premature infant crossing it', () => {
    const infant = born('2024-01-01', 28)
    const crossing = on('2024-01-01') + Math.ceil(24 * DAYS_PER_MONTH) // 731 days: 24.02 months
    expect(ageMonths(infant, crossing - 1)).toBeCloseTo((730 - 84) / DAYS_PER_MONTH, 12)
    expect(ageMonths(infant, crossing)).toBeCloseTo(731 / DAYS_PER_MONTH, 12)
    expect(chronologicalAgeMonths(infant, crossing - 1)).toBeCloseTo(730 / DAYS_PER_MONTH, 12)
  })

  it('takes unknown gestation as term, and unknown birth as its own answer', () => {
    expect(ageMonths(born('2025-01-01', null), on('2026-01-01'))).toBeCloseTo(365 / 30.4375, 12)
    expect(ageMonths(born(null, 30), on('2026-01-01'))).toBeNull()
  })
})
