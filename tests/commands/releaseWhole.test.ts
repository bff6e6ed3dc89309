import { existsSync, mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { withFolder } from '../load/folder.ts'
import { plainExports, under } from '../release/clinic.ts'
import { bundled, fence, runBundle, snapshot } from './releaseCommand.ts'

/**
 * Loaded before the command line: the nth call of one function of node:fs/promises fails, or the process is killed there.
 * FAULT is function:n:what.
 */
const FAULTS = `
import fs from 'node:fs/promises'
import { syncBuiltinESMExports } from 'node:module'
const [name, nth, what] = process.env.FAULT.split(':')
const real = fs[name]
let calls = 0
fs[name] = (...args) => {
  const written = String(args.at(name === 'rename' ? 1 : 0)).includes('tables')
  if (written && ++calls === Number(nth)) {
    process.stdout.write('FAULT\\n')
    if (what === 'kill') process.kill(process.pid, 'SIGKILL')
    throw Object.assign(new Error('no space left on device'), { code: 'ENOSPC' })
  }
  return real(...args)
}
syncBuiltinESMExports()
`

describe('a release, from outside', () => {
  const scratch = mkdtempSync(join(tmpdir(), 'waneline-faults-'))
  let home = ''
  beforeAll(async () => {
    home = await bundled()
    writeFileSync(join(scratch, 'faults.mjs'), FAULTS)
  })
  afterAll(() => {
    for (const folder of [home, scratch]) rmSync(folder, { recursive: true, force: true })
  })
  const clinic = under('in', plainExports(60))
  const words = (folder: string): string[] => [
    ...['release', join(folder, 'in'), '--as-of', '2026-06-30'],
    ...['--out', join(folder, 'out/tables'), '--secret', join(folder, 'key')],
  ]

  it('reads the exports alone and writes below the parent of --out alone: Node itself fences it in', async () => {
    await withFolder(clinic, async (folder) => {
      const open = words(folder).slice(0, -2)
      mkdirSync(join(folder, 'out'))
      const read = [`${join(folder, 'in')}/*`, `${join(folder, 'out')}*`]
      const write = [`${join(folder, 'out')}*`]
      const fenced = await runBundle(home, fence(home, read, write), open)
      expect(fenced).toMatchObject({ code: 0, err: '' })
      expect(readdirSync(folder).sort()).toEqual(['in', 'out'])
      expect(readdirSync(join(folder, 'out'))).toEqual(['tables'])
      // The fence holds: without leave for the exports, or for the place, nothing is made.
      rmSync(join(folder, 'out/tables'), { recursive: true })
      for (const narrower of [fence(home, read.slice(1), write), fence(home, read, [])]) {
        expect((await runBundle(home, narrower, open)).code).not.toBe(0)
        expect(existsSync(join(folder, 'out/tables'))).toBe(false)
      }
    })
  })

  it.each(['open:9', 'rename:1', 'rename:15', 'mkdir:1'])(
    'leaves the tree as it was when the disk fails at %s',
    async (at) => {
      await withFolder(clinic, async (folder) => {
        const before = snapshot(folder)
        const flags = ['--import', pathToFileURL(join(scratch, 'faults.mjs')).href]
        const ended = await runBundle(home, flags, words(folder), { FAULT: `${at}:throw` })
        expect(ended.out).toBe('FAULT\n')
        expect(ended.err).toMatch(/^Cannot write .*no space left on device/)
        expect(ended.code).toBe(1)
        const after = snapshot(folder)
        delete after.out // the parent of --out, empty, where it had to be made
        expect(after).toEqual(before)
      })
    },
  )

  it.each(['open:9', 'rename:15'])(
    'has nothing under its name when it is killed at %s, and can be made again',
    async (at) => {
      await withFolder(clinic, async (folder) => {
        const flags = ['--import', pathToFileURL(join(scratch, 'faults.mjs')).href]
        const killed = await runBundle(home, flags, words(folder), { FAULT: `${at}:kill` })
        expect(killed.signal).toBe('SIGKILL')
        expect(existsSync(join(folder, 'out/tables'))).toBe(false)
        const again = await runBundle(home, [], words(folder))
        expect(again.err).toBe('')
        expect(readdirSync(join(folder, 'out/tables'))).toHaveLength(14)
      })
    },
  )
})
