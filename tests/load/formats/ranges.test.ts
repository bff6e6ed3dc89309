import { createHash } from 'node:crypto'
import {
  appendFileSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { CountedSource } from '../../../src/load/folder.ts'
import { type RangeTask, readRange } from '../../../src/load/formats/delimited/range.ts'
import { readRanges } from '../../../src/load/formats/delimited/ranges.ts'
import { readDelimited } from '../../../src/load/formats/delimited.ts'
import type { RawTable } from '../../../src/load/raw.ts'
import { textAt } from '../../../src/load/rawColumn.ts'
import { contextOf } from './support.ts'

const folder = mkdtempSync(join(tmpdir(), 'ranges-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

/** A table as plain data: codes, texts by code, what is ragged, and the line of every record. */
const plain = (table: RawTable) => ({
  headings: table.headings,
  length: table.length,
  remarks: table.remarks,
  ragged: [...table.ragged],
  lines: Array.from({ length: table.length }, (_, record) => table.lineOf?.(record)),
  columns: table.columns.map((column) => ({
    codes: 'codes' in column ? [...column.codes] : [],
    texts: Array.from({ length: table.length }, (_, row) => textAt(column, row)),
  })),
})

/** Parts read here, so that no test passes because nothing was read in ranges. */
let parts = 0
const here = {
  readRange: async (task: RangeTask) => {
    const part = readRange(task)
    if (part !== null) parts++
    return part
  },
}

async function read(path: string, threads: number, options: object = here) {
  const source = new CountedSource({ file: 'log.csv', path, bytes: statSync(path).size }, () => {})
  const tables = await readDelimited(source, contextOf(), { threads, headBytes: 200, ...options })
  return { tables: tables.map(plain), sha256: await source.sha256() }
}

const LINES = Array.from({ length: 400 }, (_, i) =>
  i % 37 === 0
    ? `SM-${i},2025-01-01,"two\nlines, ""${i}"""`
    : i % 53 === 0
      ? `SM-${i},too,many,fields`
      : i % 41 === 0
        ? ''
        : i % 61 === 0
          ? `SM-${i},"broken"quote,x`
          : `SM-${i % 9},2025-01-0${1 + (i % 9)},note ${i}`,
)
const write = (name: string, text: string): string => {
  const path = join(folder, name)
  writeFileSync(path, text)
  return path
}

describe('a file read in ranges is the file read in one go', () => {
  it.each([
    ['plain ends', `client,date,note\n${LINES.join('\n')}\n`],
    ['carriage returns', `client,date,note\r\n${LINES.join('\r\n')}`],
    ['titles above the headings', `Log of all\n\nclient,date,note\n${LINES.join('\n')}`],
    ['a quote that never closes', `client,date,note\n${LINES.join('\n')}\nSM-1,"open\n${LINES.join('\n')}`],
  ])('%s', async (name, text) => {
    const path = write(`${name}.csv`, text)
    const whole = await read(path, 1)
    parts = 0
    for (const threads of [2, 3, 5, 8, 13]) expect(await read(path, threads), `${threads}`).toEqual(whole)
    expect(parts).toBeGreaterThan(5)
  })

  it('says where a line feed within quotes was taken for the end of a record', () => {
    const text = `client,date,note\n${'SM-1,2025-01-01,x\n'.repeat(5)}SM-1,2025-01-01,"one\ntwo"\nSM-2,2025-01-01,y\n`
    const path = write('edge.csv', text)
    const task = (to: number) => ({
      ...{ path, file: 'edge.csv', from: 0, to, first: true, last: false, rules: {}, recordBytes: 1000 },
      layout: {
        delimiter: 44,
        headings: ['client', 'date', 'note'],
        titleRecords: [],
        titleCells: [],
        headingLine: 1,
      },
    })
    expect(readRange(task(text.indexOf('two')))).toBeNull()
    expect(readRange(task(text.indexOf('SM-2')))).toMatchObject({ length: 6, lines: 8 })
  })

  it('in threads of their own', async () => {
    const path = write('threads.csv', `client,date,note\n${LINES.join('\n')}\n`)
    expect(await read(path, 2, {})).toEqual(await read(path, 1))
    const layout = {
      delimiter: 44,
      headings: ['client', 'date', 'note'],
      titleRecords: [],
      titleCells: [],
      headingLine: 1,
    }
    const ranged = { path, file: 'threads.csv', layout, rules: {}, recordBytes: 10_000 }
    let seen = 0
    const count = (bytes: number): void => {
      seen += bytes
    }
    expect(await readRanges(ranged, 2, count)).toHaveLength(2)
    expect(seen).toBeGreaterThanOrEqual(statSync(path).size)
  })

  it('and its fingerprint is that of the file as it was cut, else the file is told to have changed', async () => {
    const text = `client,date,note\n${LINES.join('\n')}\n`
    const path = write('fingerprint.csv', text)
    const beside = (after: () => void): Promise<string> => {
      const source = new CountedSource({ file: 'log.csv', path, bytes: Buffer.byteLength(text) }, () => {})
      source.onDisk.readElsewhere()
      after()
      return source.sha256()
    }
    expect(await beside(() => {})).toBe(createHash('sha256').update(text).digest('hex'))
    const changed = 'log.csv changed while it was read'
    await expect(beside(() => appendFileSync(path, 'x'))).rejects.toThrow(changed)
    write('fingerprint.csv', text)
    // As many bytes as before, but others.
    await expect(beside(() => writeFileSync(path, text.replace('SM-0', 'SM-9')))).rejects.toThrow(changed)
    write('fingerprint.csv', text)
    await expect(beside(() => rmSync(path))).rejects.toThrow('vanished while the folder was read')
  })

  it('names a file that grew while it was read', async () => {
    const path = write('grows.csv', `client,date,note\n${LINES.join('\n')}\n`)
    const readRange = async (task: RangeTask) => {
      appendFileSync(path, 'SM-1,2025-01-01,late\n')
      return here.readRange(task)
    }
    await expect(read(path, 2, { readRange })).rejects.toThrow(
      'log.csv changed while it was read. Read again once whatever writes it has finished.',
    )
  })

  const exports = join(import.meta.dirname, '../../../../shared/exports')
  it.runIf(existsSync(exports))('every delimited file of the exports', async () => {
    const files = readdirSync(exports, { recursive: true, encoding: 'utf8' }).filter((f) =>
      /\.(csv|tsv|txt)$/.test(f),
    )
    expect(files.length).toBeGreaterThan(10)
    parts = 0
    for (const file of files) {
      const path = join(exports, file)
      if (statSync(path).size > 2_000_000) continue
      const whole = await read(path, 1).catch(String)
      for (const threads of [2, 5]) expect(await read(path, threads).catch(String), file).toEqual(whole)
    }
    expect(parts).toBeGreaterThan(files.length)
  })
})
