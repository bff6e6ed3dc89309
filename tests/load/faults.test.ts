import { appendFileSync, renameSync, rmSync } from 'node:fs'
import type * as fs from 'node:fs/promises'
import { join } from 'node:path'
import { afterEach, describe, expect, it, vi } from 'vitest'
import { UserError } from '../../src/errors.ts'
import { loadFolder } from '../../src/load/index.ts'
import { day, withFolder } from './folder.ts'

/** Files whose names hold this cannot be opened, with that code: rights do not hold back whoever runs tests as root. */
const fault = vi.hoisted(() => ({ name: '', code: '', at: 'open' }))
vi.mock('node:fs/promises', async (original) => {
  const real = await original<typeof fs>()
  const faulty =
    <A extends readonly unknown[], R>(at: string, call: (...args: A) => Promise<R>) =>
    async (...args: A): Promise<R> => {
      if (fault.name !== '' && fault.at === at && String(args[0]).endsWith(fault.name))
        throw Object.assign(new Error(`${fault.code}: injected`), { code: fault.code, syscall: at })
      return call(...args)
    }
  return {
    ...real,
    open: faulty('open', real.open as (...args: readonly unknown[]) => Promise<unknown>),
    readdir: faulty('readdir', real.readdir as (...args: readonly unknown[]) => Promise<unknown>),
    stat: faulty('stat', real.stat as (...args: readonly unknown[]) => Promise<unknown>),
  }
})
afterEach(() => {
  fault.name = ''
})

const LOG = 'Client ID,Date,Target,Side,Reps\nSM-1,2026-03-02,Moro,,5\n'
const FILES = { 'a.csv': LOG, 'b/log.csv': LOG.repeat(3), 'c.csv': LOG }

const told = async (folder: string, onProgress?: () => void): Promise<string> => {
  const error = await loadFolder(folder, { asOf: day('2026-06-30'), onProgress }).then(
    () => null,
    (e: unknown) => e,
  )
  expect(error).toBeInstanceOf(UserError)
  return (error as UserError).message
}

/** Once, when reading has begun. */
const once = (act: () => void): (() => void) => {
  let done = false
  return () => {
    if (!done) act()
    done = true
  }
}

describe('a folder that does not hold still is not read in part: the file is named, and what to do', () => {
  it('where a file vanishes', async () => {
    await withFolder(FILES, async (folder) => {
      const vanish = once(() => rmSync(join(folder, 'c.csv')))
      expect(await told(folder, vanish)).toBe(
        'c.csv vanished while the folder was read. Read again once whatever moves it has finished.',
      )
    })
    await withFolder(FILES, async (folder) => {
      const vanish = once(() => renameSync(join(folder, 'b'), join(folder, 'd')))
      expect(await told(folder, vanish)).toMatch(/vanished|changed while it was read/)
    })
  })

  it('where a file grows before its turn, or in it', async () => {
    for (const name of ['a.csv', 'b/log.csv', 'c.csv'])
      await withFolder(FILES, async (folder) => {
        const grow = once(() => appendFileSync(join(folder, name), 'SM-2,2026-03-02,Moro,,5\n'))
        expect(await told(folder, grow)).toBe(
          `${name} changed while it was read. Read again once whatever writes it has finished.`,
        )
      })
  })

  it.each([
    ['open', 'EACCES', 'c.csv', /^c\.csv cannot be read \(EACCES\)\. Give yourself the right to read it/],
    ['open', 'EIO', 'c.csv', /^c\.csv cannot be read \(EIO\)\. See to the disk/],
    ['stat', 'ENOENT', 'b/log.csv', /^b\/log\.csv vanished while the folder was read/],
    ['readdir', 'EACCES', '/b', /^The folder "b" cannot be opened \(EACCES\)\. Give yourself the right/],
  ])('where %s says %s of %s', async (at, code, name, message) => {
    await withFolder(FILES, async (folder) => {
      Object.assign(fault, { at, code, name })
      expect(await told(folder)).toMatch(message)
    })
  })
})
