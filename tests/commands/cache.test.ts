import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { Command } from 'commander'
import { afterAll, afterEach, describe, expect, it, vi } from 'vitest'
import { heedCacheFlag } from '../../src/commands/cacheFlag.ts'
import { registerChart } from '../../src/commands/chart.ts'
import { registerRead } from '../../src/commands/read.ts'
import { registerRelease } from '../../src/commands/release.ts'
import { registerRun } from '../../src/commands/run.ts'
import { registerVerify } from '../../src/commands/verify.ts'
import { registerWatch } from '../../src/commands/watch.ts'
import { encodeEntry } from '../../src/load/cache/entry.ts'
import { CACHE_FOLDER, openEntry, writeEntry } from '../../src/load/cache/entryFile.ts'
import { NO_CACHE } from '../../src/load/index.ts'
import { waneline } from '../notebook/command.ts'

const home = mkdtempSync(join(tmpdir(), 'cache-'))
afterAll(() => rmSync(home, { recursive: true, force: true }))

const CAN_BE_TOLD = 'this stands in what was kept alone'
const NOTEBOOK = `import { loadFolder, parameters, folderParameters, show } from 'waneline'
const { data, asOf } = parameters(folderParameters)
const { warnings } = await loadFolder(data, { asOf })
show(warnings.join('; '))
`

/** A folder large enough to be kept. */
function exportsFolder(name: string): string {
  const folder = join(home, name)
  mkdirSync(folder)
  const line = 'SM-1,2026-03-02,Moro,,5,as always when the house is quiet\n'
  writeFileSync(
    join(folder, 'log.csv'),
    `Client ID,Date,Target,Side,Reps,Note\n${Array.from({ length: 6000 }, (_, i) => line.replace(',5,', `,${i % 90},`)).join('')}`,
  )
  return folder
}

/** Puts an entry there that says something else than the files, so that its use shows. */
async function forge(folder: string): Promise<void> {
  const entry = await openEntry(folder)
  const loaded = await entry!.load()
  await entry!.close()
  await writeEntry(folder, encodeEntry(entry!.key, { ...loaded!, warnings: [CAN_BE_TOLD] }))
}

const AS_OF = ['--as-of', '2026-06-30']
const run = (folder: string, out: string): string[] => [
  'run',
  join(home, 'told.ts'),
  '--no-check',
  '--data',
  folder,
  ...AS_OF,
  '--out',
  out,
]

/** `waneline read` in this process. */
async function read(...words: readonly string[]): Promise<string> {
  let said = ''
  const write = vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    said += String(text)
    return true
  })
  const program = heedCacheFlag(new Command('waneline').exitOverride())
  registerRead(program)
  try {
    await program.parseAsync(['node', 'waneline', 'read', ...words])
  } finally {
    write.mockRestore()
  }
  return said
}

afterEach(() => vi.unstubAllEnvs())

describe('--no-cache', () => {
  it('neither reads nor writes what is kept; without it, read does both', async () => {
    const folder = exportsFolder('read')
    const words = [folder, ...AS_OF, '--out', join(home, 'read-out')]
    const entry = join(folder, CACHE_FOLDER, 'records')
    const without = async (): Promise<string> => {
      vi.stubEnv(NO_CACHE, '')
      return read(...words, '--no-cache')
    }
    const withIt = async (): Promise<string> => {
      vi.stubEnv(NO_CACHE, '')
      return read(...words)
    }
    const report = await without()
    expect(existsSync(join(folder, CACHE_FOLDER))).toBe(false)
    expect(await withIt()).toBe(report)
    expect(existsSync(entry)).toBe(true)
    await forge(folder)
    expect(await withIt()).toContain(CAN_BE_TOLD)
    const before = readFileSync(entry)
    expect(await without()).toBe(report)
    vi.stubEnv(NO_CACHE, '1')
    expect(await read(...words)).toBe(report)
    expect(readFileSync(entry).equals(before)).toBe(true)
  })

  it('is what verify always does, in a notebook’s own process too: what was kept does not pass for the exports', async () => {
    writeFileSync(join(home, 'told.ts'), NOTEBOOK)
    const folder = exportsFolder('run')
    const out = join(home, 'run-out')
    await waneline(run(folder, out))
    await forge(folder)
    const { code, err } = await waneline(run(folder, out))
    expect(code, err).toBe(0)
    expect(readFileSync(join(out, 'told.html'), 'utf8')).toContain(CAN_BE_TOLD)
    const verdict = await waneline(['verify', join(out, 'told.html'), '--notebook', join(home, 'told.ts')])
    expect(verdict.code).toBe(1)
    expect(verdict.err).toContain('cannot be reproduced')
  }, 120_000)

  it('is a flag of every command that reads exports', () => {
    const program = new Command('waneline')
    for (const register of [
      registerRead,
      registerRun,
      registerWatch,
      registerRelease,
      registerChart,
      registerVerify,
    ]) {
      register(program)
      const command = program.commands.at(-1)!
      expect(command.options.map((option) => option.long)).toContain('--no-cache')
    }
  })
})
