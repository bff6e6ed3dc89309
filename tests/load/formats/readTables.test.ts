import { randomBytes } from 'node:crypto'
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import * as XLSX from '@e965/xlsx'
import { strToU8, zipSync } from 'fflate'
import { parquetWriteBuffer } from 'hyparquet-writer'
import { describe, expect, it } from 'vitest'
import { UserError } from '../../../src/errors.ts'
import { readDelimited } from '../../../src/load/formats/delimited.ts'
import { readTables } from '../../../src/load/formats/readTables.ts'
import { fileSource, memorySource } from '../../../src/load/formats/source.ts'
import { zipMembers } from '../../../src/load/formats/zip.ts'
import { contextOf, rowsOf } from './support.ts'

const read = (file: string, bytes: Uint8Array) =>
  readTables(memorySource(file, bytes), contextOf(), readDelimited)
const CSV = strToU8('Client ID,Date,Reflex,Side,Score\nSM-1,2026-03-01,Moro,midline,2\n')
const NDJSON = strToU8('{"a":1}\n{"a":2}\n')
const BOOK = new Uint8Array(
  XLSX.write(
    {
      SheetNames: ['S'],
      Sheets: {
        S: XLSX.utils.aoa_to_sheet([
          ['Client', 'Date'],
          ['a', 'b'],
        ]),
      },
    },
    {
      type: 'buffer',
      bookType: 'xlsx',
    },
  ) as Buffer,
)
const PARQUET = new Uint8Array(parquetWriteBuffer({ columnData: [{ name: 'client', data: ['a'] }] }))

describe('readTables', () => {
  it('tells each form by its bytes, whatever its name, and packed as well', async () => {
    const forms: [string, Uint8Array, string, string[]][] = [
      ['a.csv', CSV, 'a.csv', ['Client ID', 'Date', 'Reflex', 'Side', 'Score']],
      ['a', NDJSON, 'a', ['a']],
      ['a.json', NDJSON, 'a.json', ['a']],
      ['a.json', strToU8('\n [{"b":1}]'), 'a.json', ['b']],
      ['a.dat', BOOK, 'a.dat#S', ['Client', 'Date']],
      ['a.dat', PARQUET, 'a.dat', ['client']],
    ]
    for (const [file, bytes, table, headings] of forms) {
      expect((await read(file, bytes)).map((t) => [t.file, t.headings])).toEqual([[table, headings]])
      const zipped = await read('z.zip', zipSync({ [`folder/${file}`]: bytes }))
      expect(zipped.map((t) => [t.file, t.headings])).toEqual([[`z.zip/folder/${table}`, headings]])
      if (bytes === BOOK) continue
      const packed = await read(`${file}.gz`, gzipSync(bytes))
      expect(packed.map((t) => [t.file, t.headings])).toEqual([[`${file}.gz`, headings]])
      const both = await read('z.zip', zipSync({ [`${file}.gz`]: gzipSync(bytes) }))
      expect(both.map((t) => t.headings)).toEqual([headings])
    }
  })

  it('names what it does not read', async () => {
    const remarks = async (file: string, bytes: Uint8Array) =>
      (await read(file, bytes)).map(({ length, remarks }) => [length, remarks.join()])
    expect(await remarks('a.pdf', strToU8('%PDF-1.7'))).toEqual([
      [0, 'a.pdf is a PDF document (export the table as CSV or .xlsx), which is not read.'],
    ])
    expect((await remarks('a.xls', new Uint8Array([0xd0, 0xcf, 0x11, 0xe0, 0xa1])))[0]![1]).toContain('.xlsx')
    const archive = zipSync({
      'a.csv': CSV,
      '../../b.csv': CSV,
      '/etc/c.csv': CSV,
      'C:\\d.csv': CSV,
      'e/../f.csv': CSV,
      '__MACOSX/a.csv': CSV,
      '.hidden/a.csv': CSV,
      'inner.zip': zipSync({ 'a.csv': CSV }),
      'folder/': new Uint8Array(0),
    })
    const tables = await read('z.zip', archive)
    expect(tables.filter(({ length }) => length > 0).map(({ file }) => file)).toEqual(['z.zip/a.csv'])
    const said = tables.flatMap(({ remarks }) => remarks).join('\n')
    for (const name of ['../../b.csv', '/etc/c.csv', 'C:/d.csv', 'e/../f.csv'])
      expect(said).toContain(`"${name}" in the archive was not read: its path leads out of the archive`)
    expect(said).toContain('z.zip/inner.zip is an archive within an archive')
    expect((await remarks('z.zip', zipSync({})))[0]![1]).toContain('no file that is read')
  })

  it('tells the FHIR readers which identifier the guide means', async () => {
    const patient = {
      resourceType: 'Patient',
      identifier: [
        { system: 'a', value: '1' },
        { system: 'b', value: '2' },
      ],
    }
    for (const text of [
      JSON.stringify([patient]),
      `${JSON.stringify(patient)}\n${JSON.stringify(patient)}`,
    ]) {
      const source = memorySource('p.json', strToU8(text))
      const [table] = await readTables(source, contextOf({ identifier_system: 'b' }), readDelimited)
      expect(rowsOf(table!)[0]).toEqual({ client_id: '2' })
    }
  })

  it('refuses a gzip bomb soon, and a file packed twice', async () => {
    const bomb = gzipSync(Buffer.alloc(100 * 1024 * 1024))
    await expect(read('a.csv.gz', bomb)).rejects.toThrow(/250 times its size/)
    await expect(read('a.gz', gzipSync(gzipSync(CSV)))).rejects.toThrow(/packed file within a packed file/)
  })

  it('a gzip file that is cut or spoilt is a UserError, not a shorter table', async () => {
    const packed = gzipSync(Buffer.concat([CSV, randomBytes(5000)]))
    for (const cut of [3, 10, 11, 100, packed.length - 9, packed.length - 1])
      await expect(read('a.csv.gz', packed.subarray(0, cut))).rejects.toThrow(UserError)
    const spoilt = packed.slice()
    spoilt[packed.length - 6]! ^= 1
    await expect(read('a.csv.gz', spoilt)).rejects.toThrow(/damaged/)
  })

  it('a zip bomb is refused by what it says and by what it does', async () => {
    const bomb = zipSync({ 'a.csv': new Uint8Array(80_000_000) })
    await expect(read('z.zip', bomb)).rejects.toThrow(/times its size/)
    // The same, but its directory says that it unpacks to 1,000 bytes.
    const liar = bomb.slice()
    const directory = Buffer.from(liar).indexOf(Buffer.from([0x50, 0x4b, 1, 2]))
    new DataView(liar.buffer, liar.byteOffset).setUint32(directory + 24, 1000, true)
    await expect(read('z.zip', liar)).rejects.toThrow(/larger than the archive says/)
  })

  it('a zip archive that is cut or spoilt anywhere is a UserError or reads the same', async () => {
    const archive = zipSync({ 'a.csv': CSV, 'b.csv': CSV })
    const whole = JSON.stringify((await read('z.zip', archive)).map(rowsOf))
    for (let cut = 4; cut < archive.length; cut += 7)
      await expect(read('z.zip', archive.subarray(0, cut))).rejects.toThrow(UserError)
    for (let at = 4; at < archive.length; at++) {
      const spoilt = archive.slice()
      spoilt[at]! ^= 0x55
      try {
        expect((await read('z.zip', spoilt)).length).toBeGreaterThan(0)
        const rows = (await read('z.zip', spoilt)).filter(({ length }) => length > 0).map(rowsOf)
        // A spoilt name may lead elsewhere, and then the report says so; content is never other than it was.
        for (const table of rows) expect(whole).toContain(JSON.stringify(table))
      } catch (error) {
        expect(error).toBeInstanceOf(UserError)
      }
    }
  })

  it('a locked member, an unknown method and too many members are UserErrors', () => {
    const archive = zipSync({ 'a.csv': CSV })
    const directory = Buffer.from(archive).indexOf(Buffer.from([0x50, 0x4b, 1, 2]))
    const changed = (offset: number, value: number) => {
      const copy = archive.slice()
      copy[directory + offset] = value
      return () => zipMembers('z.zip', copy)[0]!.bytes()
    }
    expect(changed(8, 1)).toThrow(/password/)
    expect(changed(10, 12)).toThrow(/method 12/)
    const end = archive.slice()
    new DataView(end.buffer).setUint16(end.length - 22 + 10, 20_000, true)
    expect(() => zipMembers('z.zip', end)).toThrow(/20000 files/)
  })

  it('a file that changes while it is read is a UserError', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'waneline-'))
    try {
      const path = join(folder, 'a.csv')
      await writeFile(path, 'x'.repeat(3 * 1024 * 1024))
      const read = async () => {
        let first = true
        for await (const _ of fileSource(path, 'a.csv').chunks()) {
          if (first) await writeFile(path, 'y'.repeat(3 * 1024 * 1024))
          first = false
        }
      }
      await expect(read()).rejects.toThrow('a.csv changed while it was read')
    } finally {
      await rm(folder, { recursive: true })
    }
  })
})
