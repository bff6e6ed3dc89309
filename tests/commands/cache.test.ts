import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { encodeEntry } from '../../src/load/cache/entry.ts'
import { CACHE_FOLDER, openEntry, writeEntry } from '../../src/load/cache/entryFile.ts'
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
const commands: Readonly<Record<string, (folder: string, out: string) => string[]>> = {
  read: (folder, out) => ['read', folder, ...AS_OF, '--out', out],
  run: (folder, out) => [
    'run',
    join(home, 'told.ts'),
    '--no-check',
    '--data',
    folder,
    ...AS_OF,
    '--out',
    out,
  ],
}

describe('--no-cache', () => {
  it.each(Object.keys(commands))(
    '%s neither reads nor writes what is kept; else it does both',
    async (name) => {
      writeFileSync(join(home, 'told.ts'), NOTEBOOK)
      const folder = exportsFolder(name)
      const told = async (flags: readonly string[], env: NodeJS.ProcessEnv = {}): Promise<string> => {
        const out = join(home, `${name}-out`)
        const { code, out: said, err } = await waneline([...commands[name]!(folder, out), ...flags], { env })
        expect(code, err).toBe(0)
        return said + (name === 'run' ? readFileSync(join(out, 'told.html'), 'utf8') : '')
      }
      const entry = join(folder, CACHE_FOLDER, 'records')
      await told(['--no-cache'])
      expect(existsSync(join(folder, CACHE_FOLDER))).toBe(false)
      await told([])
      expect(existsSync(entry)).toBe(true)
      await forge(folder)
      expect(await told([])).toContain(CAN_BE_TOLD)
      const before = readFileSync(entry)
      expect(await told(['--no-cache'])).not.toContain(CAN_BE_TOLD)
      expect(await told([], { WANELINE_NO_CACHE: '1' })).not.toContain(CAN_BE_TOLD)
      expect(readFileSync(entry).equals(before)).toBe(true)
    },
  )

  it('is what verify always does: an entry that was tampered with does not pass for the exports', async () => {
    writeFileSync(join(home, 'told.ts'), NOTEBOOK)
    const folder = exportsFolder('verify')
    const out = join(home, 'verify-out')
    await waneline(commands.run!(folder, out))
    await forge(folder)
    await waneline(commands.run!(folder, out))
    const verdict = await waneline(['verify', join(out, 'told.html'), '--notebook', join(home, 'told.ts')])
    expect(verdict.code).toBe(1)
    expect(verdict.err).toContain('cannot be reproduced')
  })

  it('is a flag of every command that reads exports', async () => {
    for (const command of ['read', 'run', 'watch', 'release', 'chart', 'verify']) {
      const { out } = await waneline([command, '--help'])
      expect(out, command).toContain('--no-cache')
      if (command !== 'verify') expect(out, command).toContain(CACHE_FOLDER)
    }
  })
})
