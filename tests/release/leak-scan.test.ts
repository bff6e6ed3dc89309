import { describe, expect, it } from 'vitest'
import { dateSpellings } from '../../src/release/identifiers.ts'
import { IdentifierIndex } from '../../src/release/leak-finder.ts'
import { leakScanner } from '../../src/release/leak-scan.ts'
import { releaseTables } from '../../src/release/table-definitions.ts'

const ID = { what: 'client id', text: 'SM-12' }
const HEAD = 'person,age_band,sex,group,site_group,months_followed\n'
const scan = (name: string, content: string) =>
  leakScanner(releaseTables('week', 5), [ID])([{ name, content }])

describe('the leak scan', () => {
  const find = new IdentifierIndex([
    ID,
    { what: 'birth date', text: '2019-03-04' },
    { what: 'note', text: 'after bath, at Nan’s' },
    { what: 'rater', text: 'A' },
  ]).finder()

  it.each([
    ['seen with (SM-12) today', 'client id'],
    ['sm_12', 'client id'],
    ['born 2019/03/04', 'birth date'],
    ['AFTER BATH at nan’s place', 'note'],
    ['SM-120', null],
    ['XSM-12', null],
    ['after bath', null],
    ['Group A', null],
    ['a', 'rater'],
    ['', null],
  ])('finds in %j: %s', (text, what) => expect(find(text)).toBe(what))

  it('seeks in our own pages only what cannot stand there rightly, whatever came first', () => {
    const index = new IdentifierIndex([
      { what: 'file name', text: 'people 2026', inCellsOnly: true },
      { what: 'client id', text: 'People-2026' },
      { what: 'short date', text: '4/3/19', inCellsOnly: true },
      { what: 'name', text: 'May' },
      { what: 'code', text: 'K77' },
    ])
    const [cells, pages] = [index.finder(), index.finder('pages')]
    for (const find of [cells, pages]) {
      expect(find('the people (2026)')).toBe('client id')
      expect(find('about K77')).toBe('code')
    }
    expect([cells('4/3/19'), pages('4/3/19')]).toEqual(['short date', null])
    expect([cells('in May'), pages('in May')]).toEqual(['name', null])
  })

  it('knows the usual spellings of a date', () => {
    for (const text of ['1970-01-01', '1/1/1970', '19700101', '1 January 1970', 'Jan 1st 1970'])
      expect(dateSpellings(0)).toContain(text)
  })

  it('reads the cells as written, names the place and never the identifier', () => {
    const row = 'P0123456789AB,0 to 2 years,*,"twin of ""SM-12""",*,3\n'
    expect(scan('people.csv', HEAD + row)).toEqual([
      { file: 'people.csv', row: 1, column: 'group', what: 'client id' },
    ])
  })

  it('lets nothing into a closed column but what belongs there', () => {
    const leaks = scan(
      'people.csv',
      `${HEAD}P0123456789AB,born in May,male,a,*,3\nAnna,4 years,girl,a,*,3 months\n`,
    )
    expect(leaks.map((l) => l.column)).toEqual(['age_band', 'person', 'sex', 'months_followed'])
  })

  it('searches names, pages and the texts of JSON, but no script, style or number', () => {
    expect(scan('SM-12.md', 'fine')).toHaveLength(1)
    expect(scan('risk-report.html', '<p>about SM-12</p>')).toHaveLength(1)
    expect(scan('risk-report.html', '<style>SM-12</style>')).toHaveLength(0)
    expect(scan('x.json', '{"a":{"SM-12":1}}')).toHaveLength(1)
  })
})
