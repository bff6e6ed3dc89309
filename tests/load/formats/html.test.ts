import { describe, expect, it } from 'vitest'
import { readDelimited } from '../../../src/load/formats/delimited.ts'
import { htmlText } from '../../../src/load/formats/htmlText.ts'
import { readTables } from '../../../src/load/formats/readTables.ts'
import { memorySource } from '../../../src/load/formats/source.ts'
import { lines, load } from '../folder.ts'
import { contextOf, rowsOf } from './support.ts'

const read = (page: string | Uint8Array) =>
  readTables(memorySource('page.xls', Buffer.from(page)), contextOf({}), readDelimited)
const table = (...rows: string[][]): string =>
  `<table>${rows.map((row) => `<tr>${row.map((cell) => `<td>${cell}</td>`).join('')}</tr>`).join('')}</table>`
const HEAD = ['Client ID', 'Date', 'Reflex', 'Reps']

// What a browser shows of each page is worked out by hand (WHATWG HTML, 4.9 and 13.2: optional ends, rowspan, references).
describe('a web page that is called a workbook', () => {
  it('gives the text of its cells, whether marks are closed or not', async () => {
    const page =
      '<html><head><style>td{x:1}</style></head><body><!-- <table> --><h1>Log</h1><TABLE border=1><thead><tr><th>Client ID<th title="a>b">Date<th>Reflex<th>Note</thead>' +
      '<tr><td>SM-1<td>2026-03-02<td><b>Mo</b>ro<td>2 &lt; 3 &amp; &#252;&#x2713;<br>two lines</table></body></html>'
    const [found] = await read(page)
    expect(found!.headings).toEqual(['Client ID', 'Date', 'Reflex', 'Note'])
    expect(rowsOf(found!)).toEqual([
      { 'Client ID': 'SM-1', Date: '2026-03-02', Reflex: 'Moro', Note: '2 < 3 & ü✓\ntwo lines' },
    ])
  })

  it('is accounted for as a workbook is: titles above, cells over several rows, rows of another width ragged', async () => {
    const rows =
      '<tr><td rowspan="2">SM-1</td><td>2026-03-02</td><td>Moro</td><td>5</td></tr><tr><td>2026-03-03</td><td>Moro</td><td>6</td></tr>' +
      '<tr><td></td></tr><tr><td>SM-2</td><td>2026-03-02</td><td>Moro</td></tr><tr><td colspan="3">Total</td><td>11</td></tr>'
    const head = `<tr>${HEAD.map((heading) => `<th>${heading}</th>`).join('')}</tr>`
    const found = await load({
      'log.xls': `<table><tr><td colspan="4">Saltmarsh home log</td></tr>${head}${rows}</table>`,
    })
    expect(lines(found, 'sessions')).toEqual([
      'SM-1,2026-03-02,,moro,midline,,5,,,,,',
      'SM-1,2026-03-03,,moro,midline,,6,,,,,',
    ])
    expect(found.ledger[0]).toMatchObject({ file: 'log.xls', records: 4, kept: 2, rejected: 2 })
    expect(lines(found, 'problems')).toEqual([
      'log.xls,3,,SM-2 | 2026-03-02 | Moro,ragged_row,rejected',
      'log.xls,4,client_id,Total,missing_value,rejected',
    ])
  })

  it('has a table of its own for each of its tables', async () => {
    const found = await read(table(HEAD, ['SM-1', '2026-03-02', 'Moro', '5']) + table(['a', 'b'], ['1', '2']))
    expect(found.map(({ file, length }) => [file, length])).toEqual([
      ['page.xls#1', 1],
      ['page.xls#2', 1],
    ])
  })

  it('is read in UTF-16, in UTF-8 and in Windows-1252, and in nothing else', async () => {
    const page = `<html>${table(['Klient', 'Übung'], ['SM-1', 'Grüße'])}</html>`
    const wide = Buffer.concat([Buffer.from([0xff, 0xfe]), Buffer.from(page, 'utf16le')])
    for (const bytes of [Buffer.from(page), wide, Buffer.from(page, 'latin1')])
      expect(rowsOf((await read(bytes))[0]!)).toEqual([{ Klient: 'SM-1', Übung: 'Grüße' }])
    const other = page.replace('<html>', '<html><meta charset="iso-8859-2">')
    await expect(read(Buffer.from(other, 'latin1'))).rejects.toThrow(/written in iso-8859-2/)
  })

  it('is not read in part: cut short, or a table within a table', async () => {
    const page = `<html>${table(HEAD, ['SM-1', '2026-03-02', 'Moro', '5'])}`
    for (const broken of [page.slice(0, -8), `${page}<!-- <table>`, `${page}<script>`])
      await expect(read(broken)).rejects.toThrow(/cut short/)
    await expect(read('<table><tr><td><table><tr><td>x</table></table>')).rejects.toThrow(/within tables/)
    expect((await read('<html><p>nothing</p></html>'))[0]!.remarks.join()).toContain('without a table')
  })

  it('that is named a page, as a report of these records is, is read only where the guide says what it holds', async () => {
    const files = { 'report.html': `<html>${table(HEAD, ['SM-1', '2026-03-02', 'Moro', '5'])}</html>` }
    await expect(load(files)).rejects.toThrow(/only where the reading guide says/)
    const guide = { files: [{ match: '*.html', holds: 'sessions' as const }] }
    expect((await load(files, { guide })).records.sessions.length).toBe(1)
  })

  it('cannot be made to take long', async () => {
    const before = performance.now()
    for (const mean of ['<td "', '<a ', '<!--', "<td x='"]) {
      const page = `<table><tr><td>${mean.repeat(50_000)}`
      await read(page).catch(() => null)
      htmlText(mean.repeat(50_000))
    }
    expect(performance.now() - before).toBeLessThan(10_000)
  })

  it('keeps a reference that it does not know as it was written', () => {
    expect(htmlText('a &foo; &#0; &nbsp;b')).toBe('a &foo; &#0; \u00a0b')
  })
})
