import { createHash } from 'node:crypto'
import { symlink, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { UserError } from '../../src/errors.ts'
import { loadFolder } from '../../src/load/index.ts'
import { day, lines, load, withFolder } from './folder.ts'

const CLIENTS = 'Client ID,Date of birth,Sex,Site\nSM-1,2020-01-01,F,Heron\nSM-2,2021-02-02,M,Heron\n'
const SCORES = 'Client ID,Assessment date,Reflex,Side,Score,Rater\nSM-1,2026-03-01,Moro,midline,2,A.V.\n'
const LOG = 'Client ID,Date,Target,Side,Reps\nSM-1,2026-03-02,Moro,midline,5\nSM-2,2026-03-03,Galant,L,6\n'

const message = async (promise: Promise<unknown>): Promise<string> => {
  const error = await promise.then(
    () => null,
    (e: unknown) => e,
  )
  expect(error).toBeInstanceOf(UserError)
  return (error as UserError).message
}

describe('what a person is told', () => {
  it('when there is no such folder, or it is a file, or it is empty', async () => {
    expect(await message(loadFolder('/no/such/folder'))).toMatch(/no folder "\/no\/such\/folder"/)
    await withFolder({ 'a.csv': LOG }, async (folder) => {
      expect(await message(loadFolder(join(folder, 'a.csv')))).toMatch(/is a file. Give the folder/)
    })
    expect(await message(load({}))).toMatch(/holds no file to read/)
  })

  it('when the as-of day is missing: the latest day on which three clients have records', async () => {
    const log = [
      'Client ID,Date,Target,Side,Reps',
      ...['SM-1', 'SM-2', 'SM-3'].map((c) => `${c},2026-03-02,Moro,,5`),
      ...['SM-1', 'SM-2'].map((c) => `${c},2026-03-09,Moro,,5`),
      'SM-1,2036-03-02,Moro,,5',
    ].join('\n')
    expect(await message(load({ 'log.csv': log }, { asOf: undefined }))).toMatch(/records is 2026-03-02/)
    expect(await message(load({ 'log.csv': LOG }, { asOf: undefined }))).toMatch(
      /No day has records of three/,
    )
    // A folder of one client can never have three; and where nothing was understood, it is not the days that are missing.
    const one = 'Client ID,Date,Target,Side,Reps\nSM-1,2026-03-02,Moro,,5\n'
    expect(
      await message(
        load({ 'log.csv': one, 'c.csv': 'Client ID,Born\nSM-1,2024-01-01\n' }, { asOf: undefined }),
      ),
    ).toMatch(/The last of what there is is of 2026-03-02/)
    expect(await message(load({ 'c.csv': 'Code,Born,Sex\nx,2024-01-01,f\n' }, { asOf: undefined }))).toMatch(
      /No score and no session was understood.*--suggest-guide/,
    )
  })

  it('when no headings are recognised: every file and what it shows', async () => {
    const told = await message(
      load({ 'x.csv': 'Foo,Bar\n1,2\n', 'deep/notes.txt': 'some words\nmore words\n' }),
    )
    expect(told).toMatch(/x\.csv: its headings are not recognised \("Foo", "Bar"\)/)
    expect(told).toMatch(/deep\/notes\.txt/)
    expect(told).toMatch(/--suggest-guide/)
  })

  it('when one file of several is not recognised: the rest is read, and it is named', async () => {
    const loaded = await load({ 'log.csv': LOG, 'x.csv': 'Foo,Bar\n1,2\n' })
    expect(loaded.notRead).toEqual([{ file: 'x.csv', reason: expect.stringMatching(/not recognised/) }])
    expect(loaded.ledger.map((e) => [e.file, e.records])).toEqual([
      ['log.csv', 2],
      ['x.csv', 0],
    ])
  })

  it('when two headings could be one field', async () => {
    const both = 'Client ID,Session date,Log date,Target,Side,Reps\nSM-1,2026-03-02,2026-03-05,Moro,,5\n'
    expect(await message(load({ 'log.csv': both }))).toMatch(
      /log\.csv: "Session date" and "Log date" could each be done_on/,
    )
    // Never filled together: the two are one column that was renamed half-way.
    const halves =
      'Client ID,Session date,Log date,Target,Side,Reps\nSM-1,2026-03-02,,Moro,,5\nSM-1,,2026-03-05,Moro,,5\n'
    expect(lines(await load({ 'log.csv': halves }), 'sessions')).toHaveLength(2)
  })

  it('when there are no sessions, or a client has no assessment', async () => {
    const loaded = await load({ 'clients.csv': CLIENTS, 'scores.csv': SCORES })
    expect(loaded.warnings).toEqual([
      expect.stringMatching(/No sessions were found/),
      expect.stringMatching(/1 of 2 clients have no assessment \(SM-2\)/),
    ])
  })

  it('when the guide has a fault: its line', async () => {
    const told = await message(load({ 'log.csv': LOG, 'guide.yaml': 'decimal: comma\nholdz: sessions\n' }))
    expect(told).toMatch(/guide\.yaml:2/)
    expect(await message(load({ 'log.csv': LOG }, { guide: '/no/guide.yaml' }))).toMatch(
      /guide "\/no\/guide\.yaml" cannot be read/,
    )
  })
})

describe('what is read', () => {
  it('is told with its fingerprint, size and records', async () => {
    const { sources } = await load({ 'log.csv': LOG })
    // sha256 by the platform's own library, over the text as written.
    const sha256 = createHash('sha256').update(LOG).digest('hex')
    expect(sources).toEqual([{ file: 'log.csv', bytes: LOG.length, records: 2, sha256 }])
  })

  it('takes the guide of the folder, and another where one is named', async () => {
    const log = 'Code,Day,What,Side,Strokes\nSM-1,03/04/2026,Moro,,5\n'
    const columns = 'columns: {Code: client_id, Day: done_on, What: target, Strokes: reps}'
    const files = { 'log.csv': log, 'guide.yaml': `dates: day-month-year\n${columns}\n` }
    expect(lines(await load(files), 'sessions')).toEqual(['SM-1,2026-04-03,,moro,midline,,5,,,,,'])
    await withFolder({ 'other.yaml': `dates: month-day-year\n${columns}\n` }, async (folder) => {
      const loaded = await load(files, { guide: join(folder, 'other.yaml') })
      expect(lines(loaded, 'sessions')).toEqual(['SM-1,2026-03-04,,moro,midline,,5,,,,,'])
    })
  })

  it('names the physical line of an example', async () => {
    const log =
      'Client ID,Date,Target,Side,Reps,Note\nSM-1,2026-03-02,Moro,,5,"two\nlines"\n\nSM-1,soon,Moro,,5,\n'
    const { ledger } = await load({ 'log.csv': log })
    expect(ledger[0]?.problems).toEqual([
      {
        rule: 'unreadable_date',
        count: 1,
        examples: [{ record: 2, line: 5, field: 'done_on', value: 'soon', times: 1 }],
      },
    ])
  })
})

describe('what is not read', () => {
  it('leaves links alone, and says so', async () => {
    await withFolder({ 'log.csv': LOG }, async (folder) => {
      const outside = join(tmpdir(), `outside-${process.pid}.csv`)
      await writeFile(outside, LOG)
      await symlink(outside, join(folder, 'out.csv'))
      await symlink(join(folder, 'log.csv'), join(folder, 'in.csv'))
      await symlink(join(folder, 'none'), join(folder, 'dangling.csv'))
      await symlink(folder, join(folder, 'loop'))
      const { notRead, records } = await loadFolder(folder, { asOf: day('2026-06-30') })
      expect(records.sessions.length).toBe(2)
      expect(Object.fromEntries(notRead.map(({ file, reason }) => [file, reason]))).toEqual({
        'out.csv': expect.stringMatching(/out of the folder/),
        'in.csv': expect.stringMatching(/is read where it is/),
        'dangling.csv': expect.stringMatching(/link to nothing/),
        loop: expect.stringMatching(/is read where it is/),
      })
    })
  })

  it('names a guide that stands where none is looked for, and takes guide.yml', async () => {
    const { notRead, records } = await load({
      'log.csv': LOG.replace('Reps', 'Strokes done'),
      'guide.yml': 'columns: {Strokes done: reps}',
      'deep/guide.yaml': 'x',
    })
    expect(notRead).toEqual([
      { file: 'deep/guide.yaml', reason: expect.stringMatching(/in the folder itself/) },
    ])
    expect(records.sessions.length).toBe(2)
  })

  it('leaves hidden files and the guide alone', async () => {
    const { ledger } = await load({
      'log.csv': LOG,
      '.hidden.csv': LOG,
      '~$book.xlsx': 'x',
      'guide.yaml': '',
    })
    expect(ledger.map((e) => e.file)).toEqual(['log.csv'])
  })
})
