import {
  chmodSync,
  cpSync,
  existsSync,
  lstatSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { encodeEntry } from '../../../src/load/cache/entry.ts'
import { CACHE_FOLDER, openEntry, writeEntry } from '../../../src/load/cache/entryFile.ts'
import { type KeptLoadOptions, loadKept } from '../../../src/load/cache/loadKept.ts'
import { type Loaded, loadFolder } from '../../../src/load/index.ts'
import { EXPORTS, guideFile, withExport } from '../exports.ts'
import { day, lines } from '../folder.ts'

const home = mkdtempSync(join(tmpdir(), 'kept-'))
afterAll(() => rmSync(home, { recursive: true, force: true }))

let folders = 0
/** A new folder of exports: clients and a log with notes. */
function exportsFolder(): string {
  const folder = join(home, `exports-${folders++}`)
  cpSync(join(import.meta.dirname, '../data/cache'), folder, { recursive: true })
  return folder
}

const entryOf = (folder: string): string => join(folder, CACHE_FOLDER, 'records')
const inode = (folder: string): bigint => statSync(entryOf(folder), { bigint: true }).ino

const kept = (folder: string, options: KeptLoadOptions = {}): Promise<Loaded> =>
  loadKept(folder, { asOf: day('2026-06-30'), leastBytes: 0, ...options })
const plain = (folder: string, options: KeptLoadOptions = {}): Promise<Loaded> =>
  loadFolder(folder, { asOf: day('2026-06-30'), ...options })

/** All of it as plain data, notes asked for one by one. */
const whole = ({ records: { sessions, ...tables }, ...rest }: Loaded): unknown => ({
  ...rest,
  tables,
  sessions: { ...sessions, note: Array.from({ length: sessions.length }, (_, i) => sessions.note(i)) },
})

/** Puts an entry there that says something else than the files, so that it shows whether it was used. */
async function forge(folder: string): Promise<void> {
  const entry = await openEntry(folder)
  const loaded = await entry!.load()
  await entry!.close()
  await writeEntry(folder, encodeEntry(entry!.key, { ...loaded!, warnings: ['from the cache'] }))
}

describe('a second reading', () => {
  for (const { name, asOf, guide } of EXPORTS)
    it(`gives of ${name} what the first gave, in everything`, async () => {
      const checked = await withExport(name, async (shared) => {
        const folder = join(home, name)
        cpSync(join(shared, 'raw'), folder, { recursive: true })
        const options = { asOf: day(asOf), guide: guide ? guideFile(name) : undefined }
        const want = whole(await plain(folder, options))
        expect(whole(await kept(folder, options))).toStrictEqual(want)
        const before = inode(folder)
        expect(whole(await kept(folder, options))).toStrictEqual(want)
        // A reading that did not use the entry would have written another.
        expect(inode(folder)).toBe(before)
        return true
      })
      if (name !== '01-plain-long') expect(checked).toBe(true)
    })

  it('gives of the demo clinic what the first gave, in everything', async () => {
    const folder = join(home, 'saltmarsh')
    cpSync(join(import.meta.dirname, '../../../datasets/saltmarsh'), folder, {
      recursive: true,
      filter: (path) => !path.includes(CACHE_FOLDER),
    })
    const want = whole(await plain(folder))
    await kept(folder)
    expect(whole(await kept(folder))).toStrictEqual(want)
    await forge(folder)
    expect((await kept(folder)).warnings).toEqual(['from the cache'])
  })

  it('survives a move of the folder', async () => {
    const folder = exportsFolder()
    await kept(folder)
    await forge(folder)
    renameSync(folder, `${folder}-moved`)
    expect((await kept(`${folder}-moved`)).warnings).toEqual(['from the cache'])
  })

  it('keeps nothing of small folders, which are read as fast', async () => {
    const folder = exportsFolder()
    await kept(folder, { leastBytes: undefined })
    expect(existsSync(join(folder, CACHE_FOLDER))).toBe(false)
  })
})

describe('what is kept is never stale', () => {
  const changes: Readonly<Record<string, (folder: string) => KeptLoadOptions | undefined>> = {
    'one byte of a file, at the same size and date': (folder) => {
      const path = join(folder, 'log.csv')
      const { atime, mtime } = statSync(path)
      writeFileSync(path, readFileSync(path, 'utf8').replace('Moro,,5', 'Moro,,6'))
      utimesSync(path, atime, mtime)
      return undefined
    },
    'a file more': (folder) => {
      writeFileSync(join(folder, 'more.csv'), 'Client ID,Date,Target,Side,Reps\nSM-2,2026-03-09,Galant,L,9\n')
      return undefined
    },
    'a file less': (folder) => {
      rmSync(join(folder, 'clients.csv'))
      return undefined
    },
    'a file of another name': (folder) => {
      renameSync(join(folder, 'log.csv'), join(folder, 'diary.csv'))
      return undefined
    },
    'a link that is not followed': (folder) => {
      symlinkSync('/nowhere', join(folder, 'link.csv'))
      return undefined
    },
    'a guide in the folder': (folder) => {
      writeFileSync(join(folder, 'guide.yaml'), 'words: {done_by: {Nan: family}}\n')
      return undefined
    },
    'a guide by name': () => ({ guide: { words: { done_by: { Nan: 'family' } } } }),
    'the as-of day': () => ({ asOf: day('2026-03-04') }),
    'what becomes of lines without a dose': () => ({ linesWithoutDose: 'kept' }),
    'the toolkit': () => ({ program: 'another version' }),
  }

  for (const [what, change] of Object.entries(changes))
    it(`where ${what} is changed`, async () => {
      const folder = exportsFolder()
      await kept(folder)
      await forge(folder)
      expect((await kept(folder)).warnings).toEqual(['from the cache'])
      const options = change(folder) ?? {}
      const { program: _, ...load } = options
      expect(whole(await kept(folder, options))).toStrictEqual(whole(await plain(folder, load)))
      // And is kept anew, in the place of the old.
      expect(readdirSync(join(folder, CACHE_FOLDER)).sort()).toEqual([
        '.gitignore',
        'CACHEDIR.TAG',
        'records',
      ])
      await forge(folder)
      expect((await kept(folder, options)).warnings).toEqual(['from the cache'])
    })

  it('where a guide by path says something else under the same name', async () => {
    const folder = exportsFolder()
    const guide = join(home, 'named.yaml')
    writeFileSync(guide, 'words: {done_by: {Nan: family}}\n')
    await kept(folder, { guide })
    await forge(folder)
    writeFileSync(guide, 'words: {done_by: {Nan: clinician}}\n')
    expect(lines(await kept(folder, { guide }), 'sessions').join()).toContain('clinician')
  })
})

describe('an entry that is damaged', () => {
  it('is not used, and is written anew: any byte changed, any length cut', async () => {
    const folder = exportsFolder()
    const want = whole(await plain(folder))
    await kept(folder)
    const right = readFileSync(entryOf(folder))
    const damages = [
      Buffer.alloc(0),
      Buffer.from('not an entry at all'),
      Buffer.concat([right, Buffer.from('x')]),
      ...[1, 100, 160, 161, 500, right.length - 1].map((length) => right.subarray(0, length)),
      // Every 53rd byte: the first line, the key, the tables, the codes.
      ...Array.from({ length: Math.ceil(right.length / 53) }, (_, k) => {
        const bytes = Buffer.from(right)
        bytes[k * 53] = (bytes[k * 53] as number) ^ 1
        return bytes
      }),
    ]
    for (const bytes of damages) {
      writeFileSync(entryOf(folder), bytes, { mode: 0o600 })
      expect(whole(await kept(folder))).toStrictEqual(want)
      expect(readFileSync(entryOf(folder)).equals(right)).toBe(true)
    }
  })

  it('or whose place is taken by something else, is no error', async () => {
    const folder = exportsFolder()
    writeFileSync(join(folder, CACHE_FOLDER), 'a file where the folder would be')
    const notices: string[] = []
    const loaded = await kept(folder, { onNotice: (text) => notices.push(text) })
    expect(whole(loaded)).toStrictEqual(whole(await plain(folder)))
    expect(notices).toEqual([expect.stringMatching(/not kept for the next run.*is no folder.*--no-cache/)])
  })

  it('or is a link, is neither read nor written through', async () => {
    const folder = exportsFolder()
    const elsewhere = mkdtempSync(join(home, 'elsewhere-'))
    symlinkSync(elsewhere, join(folder, CACHE_FOLDER))
    const notices: string[] = []
    await kept(folder, { onNotice: (text) => notices.push(text) })
    expect(notices).toHaveLength(1)
    expect(readdirSync(elsewhere)).toEqual([])
  })

  it('or open to others, is not believed', async () => {
    const folder = exportsFolder()
    await kept(folder)
    await forge(folder)
    chmodSync(entryOf(folder), 0o666)
    expect((await kept(folder)).warnings).not.toContain('from the cache')
    await forge(folder)
    chmodSync(join(folder, CACHE_FOLDER), 0o777)
    expect((await kept(folder)).warnings).not.toContain('from the cache')
    expect(lstatSync(join(folder, CACHE_FOLDER)).mode & 0o777).toBe(0o700)
  })
})

describe('the folder of what is kept', () => {
  it('is its owner’s alone, hidden from backups and version control, and never read as an export', async () => {
    const folder = exportsFolder()
    await kept(folder)
    const mode = (path: string): number => lstatSync(path).mode & 0o777
    expect(mode(join(folder, CACHE_FOLDER))).toBe(0o700)
    expect(mode(entryOf(folder))).toBe(0o600)
    const loaded = await kept(folder, { asOf: day('2026-06-29') })
    expect(loaded.sources.map((s) => s.file)).toEqual(['clients.csv', 'log.csv'])
    expect(loaded.notRead).toEqual([])
  })

  it('can be deleted at any time', async () => {
    const folder = exportsFolder()
    await kept(folder)
    rmSync(join(folder, CACHE_FOLDER), { recursive: true })
    expect(whole(await kept(folder))).toStrictEqual(whole(await plain(folder)))
    expect(existsSync(entryOf(folder))).toBe(true)
  })

  it('serves readings at the same time, each with its own options', async () => {
    const folder = exportsFolder()
    const days = ['2026-06-30', '2026-03-04', '2026-06-30', '2026-03-04', '2026-06-30', '2026-03-04'].map(day)
    const want = await Promise.all(days.map(async (asOf) => whole(await plain(folder, { asOf }))))
    for (let round = 0; round < 3; round++)
      expect(await Promise.all(days.map(async (asOf) => whole(await kept(folder, { asOf }))))).toStrictEqual(
        want,
      )
    expect(readdirSync(join(folder, CACHE_FOLDER)).sort()).toEqual(['.gitignore', 'CACHEDIR.TAG', 'records'])
  })

  it('holds nothing of a reading during which a file changed', async () => {
    const folder = exportsFolder()
    let changed = false
    const loaded = await kept(folder, {
      onProgress: () => {
        if (!changed) writeFileSync(join(folder, 'late.csv'), 'Client ID,Date,Target,Reps\n')
        changed = true
      },
    })
    expect(changed && loaded.sources.length).toBe(2)
    expect(existsSync(entryOf(folder))).toBe(false)
  })
})
