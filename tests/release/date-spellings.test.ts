import { expect, it } from 'vitest'
import { parseDay } from '../../src/records/index.ts'
import { dateSpellings } from '../../src/release/identifiers.ts'

// English ordinals: 11th, 12th and 13th are the exceptions to 1st, 2nd and 3rd.
it('each day of a month is sought by its English ordinal', () => {
  const ordinals =
    '1st 2nd 3rd 4th 5th 6th 7th 8th 9th 10th 11th 12th 13th 14th 15th 16th 17th 18th 19th 20th 21st 22nd 23rd 24th 25th 26th 27th 28th 29th 30th 31st'
  ordinals.split(' ').forEach((ordinal, i) => {
    const day = parseDay(`2019-03-${String(i + 1).padStart(2, '0')}`)!
    expect(dateSpellings(day)).toContain(`Mar ${ordinal} 2019`)
  })
})
