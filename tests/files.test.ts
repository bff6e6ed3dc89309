import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  utimesSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { writeFolder } from '../src/commands/releaseFolder.ts'
import { UserError } from '../src/errors.ts'
import { writeWhole } from '../src/files.ts'

let folder = ''
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'files-'))
})
afterEach(() => rmSync(folder, { recursive: true, force: true }))

const message = async (written: Promise<unknown>): Promise<string> => {
  const error = await written.then(
    () => null,
    (e: unknown) => e,
  )
  expect(error).toBeInstanceOf(UserError)
  expect((error as UserError).exitCode).toBe(1)
  return (error as UserError).message
}

/** Content that comes to an end as a disk does. */
function* failing(code: string, text: string): Generator<string> {
  yield 'the first half, '
  throw Object.assign(new Error(`${code}: ${text}, write`), { code })
}

describe('writing whole or not at all', () => {
  it('makes the folders, for their owner alone', async () => {
    const path = join(folder, 'a/b/c.csv')
    await writeWhole([{ path, content: ['one', Buffer.from(' two')] }])
    expect(readFileSync(path, 'utf8')).toBe('one two')
    expect(statSync(path).mode & 0o777).toBe(0o600)
    expect([join(folder, 'a'), join(folder, 'a/b')].map((p) => statSync(p).mode & 0o777)).toEqual([
      0o700, 0o700,
    ])
  })

  it.each([
    ['ENOSPC', 'no space left on device', 'make room'],
    ['EDQUOT', 'disk quota exceeded', 'Your share of the disk'],
    ['EFBIG', 'file too large', 'may not grow so large'],
    ['EROFS', 'read-only file system', 'Nothing can be written to that disk'],
    ['EACCES', 'permission denied', 'no right to write there'],
    ['EIO', 'i/o error', 'Choose another --out folder'],
  ])(
    'where the disk says %s: names the file and what to do, and what stood there still stands',
    async (code, text, advice) => {
      const paths = ['a.csv', 'b.csv'].map((name) => join(folder, name))
      await writeWhole(paths.map((path) => ({ path, content: 'old' })))
      const told = await message(
        writeWhole([
          { path: paths[0]!, content: 'new' },
          { path: paths[1]!, content: failing(code, text) },
        ]),
      )
      expect(told).toContain(`Cannot write ${paths[1]}: ${code}: ${text}`)
      expect(told).toContain(advice)
      expect(readdirSync(folder).sort()).toEqual(['a.csv', 'b.csv'])
      expect(paths.map((path) => readFileSync(path, 'utf8'))).toEqual(['old', 'old'])
    },
  )

  it('where the place can hold no folder, and does not hang', async () => {
    if (existsSync('/proc/self'))
      expect(await message(writeWhole([{ path: '/proc/none/deep/a.csv', content: 'x' }]))).toMatch(
        /Cannot write \/proc\/none\/deep\/a\.csv: ENOENT.*No folder can be made there/,
      )
    writeFileSync(join(folder, 'file'), 'x')
    expect(await message(writeWhole([{ path: join(folder, 'file/a.csv'), content: 'x' }]))).toMatch(
      /What should be a folder is a file/,
    )
  })

  it('where a folder has the name of a file: before any file of the set has its name', async () => {
    mkdirSync(join(folder, 'b.csv'))
    const files = ['a.csv', 'b.csv'].map((name) => ({ path: join(folder, name), content: 'x' }))
    expect(await message(writeWhole(files))).toMatch(/b\.csv: a folder has that name\. Move it away/)
    expect(readdirSync(folder)).toEqual(['b.csv'])
  })

  it('at the same time from several sides: each file is one of those that were written', async () => {
    const names = ['a.csv', 'b.csv', 'c.csv']
    const texts = Array.from({ length: 12 }, (_, k) => String(k).repeat(100_000))
    await Promise.all(
      texts.map((content) => writeWhole(names.map((name) => ({ path: join(folder, 'new', name), content })))),
    )
    expect(readdirSync(join(folder, 'new')).sort()).toEqual(names)
    for (const name of names) expect(texts).toContain(readFileSync(join(folder, 'new', name), 'utf8'))
  })
})

describe('two releases under one name at the same time', () => {
  it('make one of them, whole, and tell the other', async () => {
    const release = (text: string) =>
      writeFolder(
        join(folder, 'tables'),
        ['people.csv', 'scores.csv'].map((name) => ({ name, content: text })),
      )
    const ended = await Promise.allSettled([release('one'), release('two')])
    expect(ended.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected'])
    const refused = ended.find((e): e is PromiseRejectedResult => e.status === 'rejected')
    expect(String(refused?.reason)).toMatch(/Cannot write .*tables: .*Another run has made it/)
    const [people, scores] = ['people.csv', 'scores.csv'].map((name) =>
      readFileSync(join(folder, 'tables', name), 'utf8'),
    )
    expect(people).toBe(scores)
    expect(readdirSync(folder)).toEqual(['tables'])
  })
})

describe('what killed runs left', () => {
  const anHourAgo = new Date(Date.now() - 3_700_000)
  const leave = (name: string, old: boolean): void => {
    writeFileSync(join(folder, name), 'half')
    if (old) utimesSync(join(folder, name), anHourAgo, anHourAgo)
  }

  it('is removed by the next run once it is an hour old; nothing else is', async () => {
    leave('.a.csv.0123456789ab.part', true)
    leave('.a.csv.ba9876543210.part', false)
    leave('.other.csv.0123456789ab.part', true)
    leave('.a.csv.mine.part', true)
    await writeWhole([{ path: join(folder, 'a.csv'), content: 'x' }])
    expect(readdirSync(folder).sort()).toEqual([
      '.a.csv.ba9876543210.part',
      '.a.csv.mine.part',
      '.other.csv.0123456789ab.part',
      'a.csv',
    ])
  })

  it('of a release is a folder, and goes as well', async () => {
    mkdirSync(join(folder, '.tables.0123456789ab.part'))
    writeFileSync(join(folder, '.tables.0123456789ab.part/people.csv'), 'half')
    utimesSync(join(folder, '.tables.0123456789ab.part'), anHourAgo, anHourAgo)
    await writeFolder(join(folder, 'tables'), [{ name: 'people.csv', content: 'x' }])
    expect(readdirSync(folder)).toEqual(['tables'])
  })

  it('of a release that fails is named by the folder that was asked for', async () => {
    writeFileSync(join(folder, 'file'), 'x')
    expect(await message(writeFolder(join(folder, 'file/tables'), []))).toMatch(
      /^Cannot write .*file\/tables: .*What should be a folder is a file/,
    )
  })
})
