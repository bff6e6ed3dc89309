import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { dayOf, daysInMonth, formatDay, mondayOf, parseDay, partsOf } from '../../src/records/index.ts'

const MS_PER_DAY = 86_400_000

describe('days', () => {
  // Date.UTC is ECMA-262's proleptic Gregorian calendar: an independent road to the same count.
  it('count as the language standard counts, over all of years 1 to 9999', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 9999 }),
        fc.integer({ min: 1, max: 12 }),
        fc.integer({ min: 1, max: 31 }),
        (y, m, d) => {
          const utc = new Date(0)
          utc.setUTCFullYear(y, m - 1, d)
          const exists = utc.getUTCMonth() === m - 1
          expect(dayOf(y, m, d)).toBe(exists ? utc.getTime() / MS_PER_DAY : null)
          if (exists) expect(partsOf(utc.getTime() / MS_PER_DAY)).toEqual({ year: y, month: m, date: d })
        },
      ),
      { numRuns: 5000 },
    )
  })

  it('write and read back as ISO 8601 dates', () => {
    for (const text of ['0001-01-01', '1970-01-01', '2024-02-29', '2000-02-29', '9999-12-31'])
      expect(formatDay(parseDay(text) as number)).toBe(text)
  })

  it.each([
    '2025-02-29',
    '1900-02-29',
    '2026-04-31',
    '2026-13-01',
    '2026-00-10',
    '2026-1-1',
    '26-01-01',
    '',
    'soon',
  ])('know no date %j', (text) => expect(parseDay(text)).toBeNull())

  it('have leap years by the Gregorian rule', () => {
    expect([1900, 2000, 2024, 2025, 2100].map((year) => daysInMonth(year, 2))).toEqual([28, 29, 29, 28, 28])
  })

  it('belong to the ISO week that begins on Monday', () => {
    // 2026-11-23 was a Monday.
    const monday = parseDay('2026-11-23') as number
    for (let i = 0; i < 7; i++) expect(mondayOf(monday + i)).toBe(monday)
    expect(mondayOf(monday - 1)).toBe(monday - 7)
    expect(mondayOf(-4)).toBe(-10) // 1969-12-28 was a Sunday, its Monday 1969-12-22
  })
})
