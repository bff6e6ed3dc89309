import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { readDelimited } from '../../../src/load/formats/delimited.ts'
import type { Source } from '../../../src/load/formats/source.ts'
import type { TableRules } from '../../../src/load/guide/guide.ts'
import type { RawTable } from '../../../src/load/raw.ts'
import { textAt } from '../../../src/load/rawColumn.ts'

const utf8 = (text: string): Uint8Array => Buffer.from(text, 'utf8')

/** A source that comes in pieces cut at the given places. */
const inPieces = (bytes: Uint8Array, cuts: readonly number[]): Source => ({
  file: 'a.csv',
  chunks: async function* () {
    const places = [0, ...cuts, bytes.length]
    for (let k = 1; k < places.length; k++) yield bytes.slice(places[k - 1], places[k])
  },
})

type Options = Parameters<typeof readDelimited>[2]

async function read(
  bytes: Uint8Array,
  rules: TableRules = {},
  cuts: readonly number[] = [],
  options?: Options,
): Promise<RawTable> {
  const context = { rulesFor: () => rules, names: () => false }
  const [table] = await readDelimited(inPieces(bytes, cuts), context, options)
  return table as RawTable
}

const rowsOf = (table: RawTable): string[][] =>
  Array.from({ length: table.length }, (_, row) => table.columns.map((column) => textAt(column, row)))

const dump = (table: RawTable) => ({
  headings: table.headings,
  rows: rowsOf(table),
  ragged: [...table.ragged],
  lines: Array.from({ length: table.length }, (_, row) => table.lineOf?.(row)),
  remarks: table.remarks,
})

const NASTY = [
  'Saltmarsh home log,,,\r\n',
  'printed on a day,,,\n',
  '\ufeffClient ID,Date,Reflex,Note\r',
  'SM-1,2026-03-01,Moro,"two\nlines, and a ""word"""\r\n',
  '\n , ,\t,\n',
  '\ufeff"SM-2",2026-03-02,Moro,\r\r\n',
  'SM-3,2026-03-03,Moro,never closed "here\n',
  'SM-4,2026-03-04,Moro,"opened and left\r\n',
  'SM-5,2026-03-05,Galant,"a note, closed"\n',
  'SM-6,2026-03-06,Moro,"after"the close\n',
  'too,few\nmuch,too,many,fields,here\r',
  'SM-7,2026-03-07,ru\u0000le,\u{1f9f8} ümlaut «»\n',
  'SM-8,2026-03-08,Moro,last without a line end "',
].join('')

describe('delimited text, cut anywhere', () => {
  const bytes = utf8(NASTY)

  it('reads what it should', async () => {
    const table = await read(bytes)
    expect(table.headings).toEqual(['Client ID', 'Date', 'Reflex', 'Note'])
    expect(rowsOf(table).map((row) => row[0])).toEqual([
      'SM-1',
      'SM-2',
      'SM-3',
      '',
      'SM-5',
      '',
      '',
      '',
      'SM-7',
      'SM-8',
    ])
    expect(rowsOf(table)[0]?.[3]).toBe('two\nlines, and a "word"')
    expect(rowsOf(table)[8]?.slice(2)).toEqual(['ru\u0000le', '\u{1f9f8} ümlaut «»'])
    expect([...table.ragged]).toEqual([
      [3, 'SM-4,2026-03-04,Moro,"opened and left'],
      [5, 'SM-6,2026-03-06,Moro,"after"the close'],
      [6, 'too,few'],
      [7, 'much,too,many,fields,here'],
    ])
    // Lines counted by hand: CRLF, LF and CR each end one; the quoted line break of SM-1 makes it two lines long.
    expect(dump(table).lines).toEqual([4, 8, 10, 11, 12, 13, 14, 15, 16, 17])
  })

  it('gives the same in two pieces, wherever they part', async () => {
    const whole = dump(await read(bytes))
    for (let cut = 0; cut <= bytes.length; cut++) expect(dump(await read(bytes, {}, [cut]))).toEqual(whole)
  })

  it('gives the same byte by byte, with little looked at first', async () => {
    const options = { headBytes: 96 }
    const whole = dump(await read(bytes, {}, [], options))
    expect(whole.rows).toEqual(dump(await read(bytes)).rows)
    const everywhere = Array.from({ length: bytes.length - 1 }, (_, k) => k + 1)
    expect(dump(await read(bytes, {}, everywhere, options))).toEqual(whole)
  })

  it('gives the same where the longest record is reached', async () => {
    const options = { recordBytes: 40 }
    const whole = dump(await read(bytes, {}, [], options))
    expect(whole.ragged.length).toBeGreaterThan(4)
    for (let cut = 0; cut <= bytes.length; cut++)
      expect(dump(await read(bytes, {}, [cut], options))).toEqual(whole)
  })

  for (const encoding of ['utf-16le', 'utf-16be'] as const)
    for (const mark of ['\ufeff', ''])
      it(`gives the same from ${encoding} ${mark === '' ? 'without' : 'with'} a byte-order mark`, async () => {
        const text = `${mark}${NASTY}`
        const wide = Buffer.from(text, 'utf16le')
        if (encoding === 'utf-16be') wide.swap16()
        const table = await read(wide)
        expect(rowsOf(table)).toEqual(rowsOf(await read(bytes)))
        expect(table.remarks.at(-1)).toBe(`read as ${encoding}`)
        for (let cut = 0; cut <= wide.length; cut += 3)
          expect(rowsOf(await read(wide, {}, [cut, Math.min(wide.length, cut + 1)]))).toEqual(rowsOf(table))
      })
})

describe('encodings', () => {
  it('loses no character of Windows-1252, recognised or told', async () => {
    // Bytes from the WHATWG index-windows-1252: 0x80 €, 0x93 “, 0x94 ”, 0x85 …, 0x9F Ÿ, 0xE4 ä.
    const bytes = Buffer.concat([
      utf8('Client ID;Note\nSM-1;'),
      Buffer.from([0x80, 0x93, 0xe4, 0x94, 0x85, 0x9f]),
    ])
    for (const rules of [{}, { encoding: 'windows-1252' as const }])
      expect(rowsOf(await read(bytes, rules))).toEqual([['SM-1', '€“ä”…Ÿ']])
  })

  it('reads broken UTF-8 beside good UTF-8 without losing either', async () => {
    const bytes = Buffer.concat([
      utf8('Client ID,Note\nSM-1,ümlaut\nSM-2,'),
      Buffer.from([0xfc, 0x6d]),
      utf8('\n'),
    ])
    expect(rowsOf(await read(bytes)).map((row) => row[1])).toEqual(['ümlaut', 'üm'])
  })
})

describe('layout', () => {
  it.each([
    [',', 'comma'],
    [';', 'semicolon'],
    ['\t', 'tab'],
    ['|', 'pipe'],
  ])('recognises %j', async (mark) => {
    const table = await read(
      utf8(
        ['Client ID', 'Date', 'Side'].join(mark) +
          `\nSM-1${mark}1,5;2${mark === '|' ? '' : '|'}${mark}L\n`.replace(
            /1,5;2/,
            mark === ',' || mark === ';' ? '1' : '1,5;2',
          ),
      ),
    )
    expect(table.headings).toEqual(['Client ID', 'Date', 'Side'])
    expect(table.length).toBe(1)
    expect(table.ragged.size).toBe(0)
  })

  it('takes the heading row and the delimiter the guide names', async () => {
    const text = 'a|b\nClient ID|Date\nx|y\n'
    expect((await read(utf8(text), { heading_row: 1, delimiter: 'pipe' })).headings).toEqual(['a', 'b'])
    expect((await read(utf8(text), { heading_row: 2 })).headings).toEqual(['Client ID', 'Date'])
  })

  it('has no records in an empty file or under headings alone', async () => {
    expect((await read(utf8(''))).headings).toEqual([])
    const table = await read(utf8('Client ID,Date\n'))
    expect([table.headings, table.length]).toEqual([['Client ID', 'Date'], 0])
  })

  it('widens its codes as distinct values grow', async () => {
    const rows = Array.from({ length: 70_000 }, (_, k) => `SM-${k},${k % 300}`)
    const table = await read(utf8(`Client ID,Reps\n${rows.join('\n')}`))
    expect(rowsOf(table).map((row) => row.join())).toEqual(rows)
  })
})

describe('records that repeat one another', () => {
  const cell = fc.constantFrom('', 'a', 'ab', 'aba', 'b ', 'é', 'x,y', 'say "b"', 'a\nb')
  const row = fc.tuple(fc.constantFrom('SM-1', 'SM-10', 'SM-2'), cell, cell, cell)
  /** A row is often the one before it, or its beginning. */
  const rows = fc.array(fc.tuple(row, fc.nat({ max: 4 })), { minLength: 1, maxLength: 30 }).map((drawn) => {
    const all: string[][] = []
    for (const [own, kept] of drawn) all.push([...(all.at(-1) ?? []).slice(0, kept), ...own].slice(0, 4))
    return all
  })
  const written = (text: string, quoted: boolean): string =>
    quoted || /[",\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text

  it('are read as they were written, in quotes or not, with short ones between, wherever they are cut', async () => {
    await fc.assert(
      fc.asyncProperty(
        rows,
        fc.func(fc.integer({ min: 0, max: 9 })),
        fc.constantFrom('\n', '\r\n', '\r'),
        async (all, chance, lineEnd) => {
          const lines = all.map((cells, i) =>
            chance(i) === 0
              ? cells.slice(0, 2).map((text) => written(text, true))
              : cells.map((text, k) => written(text, chance(i, k) === 1)),
          )
          const text = `Client ID,Date,Reflex,Note${lineEnd}${lines.map((l) => l.join()).join(lineEnd)}${lineEnd}`
          const bytes = utf8(text)
          const table = await read(bytes, {}, [(bytes.length * chance()) / 10, bytes.length - 1])
          expect(rowsOf(table)).toEqual(all.map((cells, i) => (chance(i) === 0 ? ['', '', '', ''] : cells)))
          expect([...table.ragged.keys()]).toEqual(all.flatMap((_, i) => (chance(i) === 0 ? [i] : [])))
        },
      ),
      { numRuns: 300 },
    )
  })
})

describe('hostile text', () => {
  it('stops at a million columns with a message', async () => {
    await expect(read(utf8(`Client ID,Date,${'a,'.repeat(1_000_000)}\n`))).rejects.toThrow(
      /more than 4096 columns/,
    )
  })

  it('costs one record for a line longer than the limit', async () => {
    const long = 'x'.repeat(3_000_000)
    const table = await read(utf8(`Client ID,Date\nSM-1,${long}\nSM-2,b\n`), {}, [1_000_000, 2_000_000], {
      recordBytes: 1_000_000,
    })
    expect(rowsOf(table).map((row) => row[0])).toEqual(['', 'SM-2'])
    expect(table.ragged.get(0)).toHaveLength(200)
    expect(table.lineOf?.(1)).toBe(3)
  })

  it('costs one line for a quote that never closes, to the end of the file', async () => {
    const rest = Array.from({ length: 5000 }, (_, k) => `SM-${k},plain`).join('\n')
    const table = await read(utf8(`Client ID,Note\nSM-a,"open\n${rest}`))
    expect(table.length).toBe(5001)
    expect([...table.ragged]).toEqual([[0, 'SM-a,"open']])
    expect(table.lineOf?.(0)).toBe(2)
  })

  it('takes no longer for many stray quotes than for few', async () => {
    const lines = Array.from({ length: 50_000 }, (_, k) => `SM-${k},"stray ${k}`).join('\n')
    const began = performance.now()
    const table = await read(utf8(`Client ID,Note\n${lines}`))
    expect(table.ragged.size).toBe(50_000)
    expect(performance.now() - began).toBeLessThan(10_000)
  })
})

describe('a beginning that is no row of headings', () => {
  it('is passed over where its quoting is broken', async () => {
    const table = await read(utf8('"Printed "today" by us\nFoo,Bar\n1,2\n'))
    expect([table.headings, rowsOf(table)]).toEqual([['Foo', 'Bar'], [['1', '2']]])
  })

  it('is a broken record where nothing follows', async () => {
    const table = await read(utf8('x'.repeat(2000)), {}, [], { recordBytes: 1000, headBytes: 100 })
    expect([table.headings, table.length, table.ragged.size]).toEqual([[], 1, 1])
  })
})
