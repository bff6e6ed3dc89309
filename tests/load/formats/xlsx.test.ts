import * as XLSX from '@e965/xlsx'
import { strToU8, unzipSync, zipSync } from 'fflate'
import { describe, expect, it } from 'vitest'
import { UserError } from '../../../src/errors.ts'
import { memorySource } from '../../../src/load/formats/source.ts'
import { readXlsx } from '../../../src/load/formats/xlsx.ts'
import type { TableRules } from '../../../src/load/guide/guide.ts'
import { parseDay } from '../../../src/records/index.ts'
import { contextOf, rowsOf } from './support.ts'

type Rows = readonly (readonly unknown[])[]

/** A workbook of the sheets given; cells may be cell objects. */
function workbook(
  sheets: Record<string, Rows | XLSX.WorkSheet>,
  change: (book: XLSX.WorkBook) => void = () => {},
) {
  const book = XLSX.utils.book_new()
  for (const [name, rows] of Object.entries(sheets))
    XLSX.utils.book_append_sheet(
      book,
      Array.isArray(rows) ? XLSX.utils.aoa_to_sheet(rows as unknown[][]) : (rows as XLSX.WorkSheet),
      name,
    )
  change(book)
  return new Uint8Array(
    XLSX.write(book, { type: 'buffer', bookType: 'xlsx', bookSST: true, compression: true }) as Buffer,
  )
}
const read = (bytes: Uint8Array, rules: TableRules = {}, named: string[] = []) =>
  readXlsx(memorySource('book.xlsx', bytes), contextOf(rules, named))
/** A sheet of one record with rows after it as a spreadsheet might have written them, which the library would not. */
function withRawRows(rows: string): Uint8Array {
  const log = [
    ['Client', 'Date'],
    ['a', 'b'],
  ]
  const parts = unzipSync(workbook({ Log: log }))
  const name = 'xl/worksheets/sheet1.xml'
  const xml = new TextDecoder().decode(parts[name]).replace('</sheetData>', `${rows}</sheetData>`)
  return zipSync({ ...parts, [name]: strToU8(xml) })
}
const one = async (rows: Rows, rules: TableRules = {}) => (await read(workbook({ Log: rows }), rules))[0]!
const date = (v: number, z = 'dd/mm/yyyy') => ({ t: 'n', v, z })

describe('readXlsx', () => {
  it('reads each sheet as a table, blank rows no records, numbers as text', async () => {
    const tables = await read(
      workbook({
        Clients: [['Client', 'Sex'], ['a', 'f'], [], ['  ', null], ['b', null]],
        Log: [
          ['Client', 'Date', 'Reps'],
          ['a', '2026-03-01', 12],
          ['b', '2026-03-02', '013'],
          ['c', 'x', 1.1 + 2.2],
        ],
      }),
    )
    expect(tables.map(({ file }) => file)).toEqual(['book.xlsx#Clients', 'book.xlsx#Log'])
    expect(rowsOf(tables[0]!)).toEqual([{ Client: 'a', Sex: 'f' }, { Client: 'b' }])
    expect([0, 1].map(tables[0]!.lineOf!)).toEqual([2, 5])
    // 1.1 + 2.2 is 3.3000000000000003 in a double; a spreadsheet shows 3.3.
    expect(rowsOf(tables[1]!).map(({ Reps }) => Reps)).toEqual(['12', '013', '3.3'])
  })

  it('gives a cell that its format shows in per cent as it is seen', async () => {
    const table = await one([
      ['Client ID', 'Date', 'Reflex', 'Score'],
      ['a', '2026-03-01', 'Moro', { t: 'n', v: 0.75, z: '0%' }],
      ['a', '2026-03-02', 'Moro', { t: 'n', v: 0.7, z: '0.0 %' }],
    ])
    expect(rowsOf(table).map(({ Score }) => Score)).toEqual(['75%', '70%'])
  })

  // Day numbers by hand: 2026-03-14 is 46095 days after 1899-12-30; 36526 is 2000-01-01, a figure every manual gives.
  it('gives date cells as dates, bare day numbers as numbers, and text dates as typed', async () => {
    const table = await one([
      ['Client', 'Date', 'Time'],
      ['a', date(46095), date(0.5, 'hh:mm')],
      ['b', 46095, date(0.7923611111111111, 'h:mm AM/PM')],
      ['c', '14/3/2026', date(0.50001157, 'hh:mm:ss')],
      ['d', date(46095.25, 'yyyy-mm-dd hh:mm'), date(1.0625, '[h]:mm')],
      ['e', date(36526), date(0.999999, 'hh:mm')],
      ['f', date(60), date(59, 'dd/mm/yyyy')],
    ])
    expect(rowsOf(table).map((row) => [row.Date, row.Time])).toEqual([
      ['2026-03-14', '12:00'],
      ['46095', '19:01'],
      ['14/3/2026', '12:00:01'],
      ['2026-03-14 06:00', '25:30:00'],
      ['2000-01-01', '23:59:59'],
      ['1900-02-29', '1900-02-28'],
    ])
    expect(table.serialDayZero! + 46095).toBe(parseDay('2026-03-14'))
  })

  it('knows the count from 1904', async () => {
    const bytes = workbook(
      {
        Log: [
          ['Client', 'Date'],
          ['a', date(0)],
          ['b', date(44633)],
          ['c', 44633],
        ],
      },
      (book) => {
        book.Workbook = { WBProps: { date1904: true } }
      },
    )
    const table = (await read(bytes))[0]!
    // 46095 − 1462 = 44633: the two counts differ by 1,462 days (ECMA-376 part 1, 18.17.4.1).
    expect(rowsOf(table).map((row) => row.Date)).toEqual(['1904-01-01', '2026-03-14', '44633'])
    expect(table.serialDayZero! + 44633).toBe(parseDay('2026-03-14'))
  })

  it('gives codes as a person sees them, truth values, errors and the last value of a formula', async () => {
    const table = await one([
      ['Client', 'Date', 'Reps', 'Done'],
      [date(417, '000000'), 'x', date(12, '0" reps"'), true],
      [date(7, '"SM-"0000'), 'y', { t: 'n', v: 5, f: 'B1+B2' }, { t: 'e', v: 42 }],
      ['z', 'y', { t: 's', v: 'five', f: '"fi"&"ve"' }, false],
    ])
    expect(rowsOf(table).map((row) => [row.Client, row.Reps, row.Done])).toEqual([
      ['000417', '12', 'true'],
      ['SM-0007', '5', '#N/A'],
      ['z', 'five', 'false'],
    ])
  })

  it('passes over title rows, saying so; the guide may say the row of the headings', async () => {
    const rows = [
      ['Home log of Saltmarsh'],
      [],
      ['Date', 'written by families'],
      ['Client', 'Date', 'Reps'],
      ['a', 'b', 1],
    ]
    const table = await one(rows)
    expect(table.headings).toEqual(['Client', 'Date', 'Reps'])
    expect(table.remarks.join()).toContain('Home log of Saltmarsh / Date written by families')
    expect((await one(rows, { heading_row: 3 })).headings).toEqual(['Date', 'written by families'])
    await expect(one(rows, { heading_row: 2 })).rejects.toThrow('heading_row: 2')
    expect((await one([['Notes for people'], ['What', 'Ever'], ['x', 1]])).headings).toEqual(['What', 'Ever'])
  })

  it('a merged cell holds for every row it spans, not for the columns; blank rows stay blank', async () => {
    const sheet = XLSX.utils.aoa_to_sheet([
      ['Client', 'Date', 'Reps'],
      ['a', 'd1', 1],
      [null, null, 2],
      [],
      [null, null, 3],
      ['b', 'wide', null],
    ])
    sheet['!merges'] = [
      { s: { r: 1, c: 0 }, e: { r: 4, c: 0 } },
      { s: { r: 1, c: 1 }, e: { r: 2, c: 1 } },
      { s: { r: 5, c: 1 }, e: { r: 5, c: 2 } },
    ]
    const bytes = workbook({ Log: sheet })
    expect(rowsOf((await read(bytes))[0]!)).toEqual([
      { Client: 'a', Date: 'd1', Reps: '1' },
      { Client: 'a', Date: 'd1', Reps: '2' },
      { Client: 'a', Reps: '3' },
      { Client: 'b', Date: 'wide' },
    ])
    expect((await read(bytes))[0]!.remarks.join()).toContain('3 cells filled')
    expect(rowsOf((await read(bytes, { merged_cells: 'first' }))[0]!)[1]).toEqual({ Reps: '2' })
  })

  it('joins group headings merged above the headings to them', async () => {
    const sheet = XLSX.utils.aoa_to_sheet([
      ['Scores of the spring'],
      [null, null, 'Palm', null, 'Foot', null],
      ['Client', 'Date', 'L', 'R', 'L', 'R'],
      ['a', 'd', 1, 2, 3, 4],
    ])
    sheet['!merges'] = [
      { s: { r: 1, c: 2 }, e: { r: 1, c: 3 } },
      { s: { r: 1, c: 4 }, e: { r: 1, c: 5 } },
      { s: { r: 0, c: 0 }, e: { r: 0, c: 5 } },
    ]
    const table = (await read(workbook({ Log: sheet })))[0]!
    expect(table.headings).toEqual(['Client', 'Date', 'Palm L', 'Palm R', 'Foot L', 'Foot R'])
  })

  it('keeps two columns of one heading apart and names cells that stand under none', async () => {
    const table = await one([
      ['Client', 'Date', 'Date', null],
      ['a', '1', '2', 'stray'],
      [null, null, null, 'alone'],
    ])
    expect(table.headings).toEqual(['Client', 'Date', 'Date'])
    expect(table.length).toBe(2)
    expect(table.remarks.join()).toContain(
      '2 cells stand under no heading and were not read; the first is in row 2',
    )
  })

  it('names hidden and empty sheets and does not read them, unless the guide names them', async () => {
    const bytes = workbook(
      { Log: [['Client'], ['a']], Old: [['Client'], ['b']], Deep: [['x']], Empty: [] },
      (book) => {
        book.Workbook = { Sheets: [{ Hidden: 0 }, { Hidden: 1 }, { Hidden: 2 }, { Hidden: 0 }] }
      },
    )
    const tables = await read(bytes)
    expect(tables.map(({ file }) => file)).toEqual(['book.xlsx#Log'])
    expect(tables[0]!.remarks).toEqual([
      'The hidden sheet "Old" was not read.',
      'The hidden sheet "Deep" was not read.',
      'The sheet "Empty" is empty.',
    ])
    const named = await read(bytes, {}, ['book.xlsx#Old'])
    expect(named.map(({ file }) => file)).toEqual(['book.xlsx#Log', 'book.xlsx#Old'])
    const none = await read(bytes, { holds: 'nothing' })
    expect(none.map(({ file, length }) => [file, length])).toEqual([['book.xlsx', 0]])
  })

  it('a cell at the far end of a sheet costs nothing', async () => {
    const far =
      '<row r="1048576"><c r="A1048576" t="inlineStr"><is><t>c</t></is></c><c r="XFD1048576"><v>7</v></c></row>'
    const table = (await read(withRawRows(far)))[0]!
    expect(rowsOf(table)).toEqual([{ Client: 'a', Date: 'b' }, { Client: 'c' }])
    expect(table.lineOf!(1)).toBe(1_048_576)
  })

  it('says how many formulas nobody has worked out', async () => {
    const rows =
      '<row r="3"><c r="A3"><f>A1</f></c><c r="B3"><f>1+1</f><v>2</v></c></row><row r="4"><c r="A4"><v>1</v></c><c r="B4"><f>A1</f><v></v></c></row>'
    const table = (await read(withRawRows(rows)))[0]!
    expect(rowsOf(table)).toEqual([{ Client: 'a', Date: 'b' }, { Date: '2' }, { Client: '1' }])
    expect(table.remarks.join()).toContain('2 formulas have no value yet')
  })

  it('refuses merged cells without end', async () => {
    const sheet = XLSX.utils.aoa_to_sheet([['Client', 'Date'], ['a', 'b'], ...Array(2000).fill([null, 'c'])])
    sheet['!merges'] = Array(20_000).fill({ s: { r: 1, c: 0 }, e: { r: 1_048_575, c: 16_383 } })
    await expect(read(workbook({ Log: sheet }))).rejects.toThrow(/merged cells over more than/)
  })

  it('a workbook that is damaged in any way is a UserError, never a shorter table', async () => {
    const bytes = workbook({
      Log: [['Client', 'Date'], ...Array.from({ length: 40 }, (_, i) => [`c${i}`, i])],
    })
    for (let cut = 0; cut < bytes.length; cut += 97)
      await expect(read(bytes.subarray(0, cut))).rejects.toThrow(UserError)
    const parts = unzipSync(bytes)
    const spoil = (name: string, change: (xml: string) => string) =>
      zipSync({ ...parts, [name]: strToU8(change(new TextDecoder().decode(parts[name]))) })
    await expect(
      read(spoil('xl/worksheets/sheet1.xml', (xml) => xml.replace('</sheetData>', ''))),
    ).rejects.toThrow(UserError)
    await expect(read(spoil('xl/sharedStrings.xml', () => '<sst></sst>'))).rejects.toThrow(
      /cells have a value/,
    )
    await expect(read(spoil('xl/workbook.xml', () => 'x'))).rejects.toThrow(UserError)
  })

  it('refuses a part that unpacks to more than is read, before it is unpacked', async () => {
    const bomb = zipSync({
      'xl/workbook.xml': strToU8('x'),
      'xl/worksheets/sheet1.xml': new Uint8Array(90_000_000),
    })
    expect(bomb.length).toBeLessThan(200_000)
    await expect(read(bomb)).rejects.toThrow(/times its size/)
  })
})
