import { describe, expect, it } from 'vitest'
import { dateSpellings, leakFinder, scanForLeaks } from '../../src/release/leak-scan.ts'

describe('the leak scan', () => {
  const find = leakFinder([
    { what: 'client id', text: 'SM-12' },
    { what: 'birth date', text: '2019-03-04' },
    { what: 'note', text: 'after bath, at Nan’s' },
  ])

  it.each([
    ['seen with (SM-12) today', 'client id'],
    ['sm_12', 'client id'],
    ['born 2019/03/04', 'birth date'],
    ['AFTER BATH at nan’s place', 'note'],
    ['SM-120', null],
    ['XSM-12', null],
    ['after bath', null],
    ['', null],
  ])('finds in %j: %s', (text, what) => expect(find(text)).toBe(what))

  it('knows the usual spellings of a date', () => {
    expect(dateSpellings(0)).toContain('1970-01-01')
    expect(dateSpellings(0)).toContain('1/1/1970')
    expect(dateSpellings(0)).toContain('19700101')
  })

  it('names the place, never the identifier', () => {
    const leaks = scanForLeaks(
      [
        {
          file: 'people.csv',
          columns: ['person', 'group'],
          rows: [
            ['P1', 'early'],
            ['P2', 'twin of SM-12'],
          ],
        },
      ],
      [{ file: 'codebook.md', text: 'nothing here' }],
      [{ what: 'client id', text: 'SM-12' }],
    )
    expect(leaks).toEqual([{ file: 'people.csv', row: 2, column: 'group', what: 'client id' }])
  })

  it('searches file names and headings too, and no numbers', () => {
    const leaks = scanForLeaks(
      [{ file: '000417.csv', columns: ['000417'], rows: [[417]] }],
      [],
      [
        { what: 'client id', text: '000417' },
        { what: 'client id', text: '417' },
      ],
    )
    expect(leaks.map((l) => l.row)).toEqual([0, 0])
  })
})
