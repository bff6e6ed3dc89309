import { spawn } from 'node:child_process'
import { existsSync, mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it, vi } from 'vitest'
import { checkTypes } from '../../src/notebook/check-types.ts'
import { readNotebook, runNotebook } from '../../src/notebook/run.ts'
import { COMMAND } from './command.ts'

vi.setConfig({ testTimeout: 120_000 })

/** A folder with neither package.json nor node_modules that holds these files. */
function folderOf(files: Readonly<Record<string, string>>): string {
  const folder = mkdtempSync(join(tmpdir(), 'waneline-faults-'))
  for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), text)
  return folder
}

const run = (files: Readonly<Record<string, string>>) => {
  const path = join(folderOf(files), 'n.ts')
  return runNotebook(path, { given: {}, origin: {} })
}

/** Two lines before the fault, without the toolkit: a process that loads nothing starts at once. */
const PLAIN = '// first\n// second\n'
const SHOW = "import { show } from 'waneline'\nshow('# Page')\n"

describe('a notebook that fails', () => {
  it.each([
    [
      'a promise that is rejected and not awaited',
      "Promise.reject(new Error('nobody waited'))",
      'nobody waited',
    ],
    ['a timer that throws', "setTimeout(() => { throw new Error('too late') }, 20)", 'too late'],
    ['an end by its own hand', 'process.exit(0)', 'process.exit(0) would end the notebook before its page'],
    [
      'an error with a cause',
      "throw new Error('no sum', { cause: new Error('no figures') })",
      'no sum\nBecause: no figures',
    ],
    [
      'a recursion without end',
      'const f = (n: number): number => f(n + 1) + 1; f(0)',
      'RangeError: Maximum call',
    ],
    ['a syntax error', 'const a = [1, 2; 3]', 'SyntaxError: Expected "]" but found ";"'],
    ['a module that is not there', "await import('./nowhere.ts')", 'Cannot find module'],
  ])('by %s says what, and at which line', async (_, code, message) => {
    const failing = run({ 'n.ts': `${PLAIN}${code}\n` })
    await expect(failing).rejects.toThrow(message)
    await expect(failing).rejects.toThrow(/stopped at \S*n\.ts:3; no page was written/)
    await expect(failing).rejects.toThrow(`> 3 | ${code}`)
  })

  it('by what is no Error says what it was', async () => {
    await expect(run({ 'n.ts': `${PLAIN}throw { code: 3 }\n` })).rejects.toThrow(
      'The notebook threw { code: 3 }, which is no Error',
    )
  })

  it('by waiting for ever says so', async () => {
    await expect(run({ 'n.ts': `${PLAIN}await new Promise(() => {})\n` })).rejects.toThrow(
      'waits for something that never comes',
    )
  })

  it('in a helper shows both places', async () => {
    const failing = run({
      'helper.ts':
        "export function half(n: number): number {\n  if (n % 2) throw new RangeError('odd')\n  return n / 2\n}\n",
      'n.ts': `${PLAIN}import { half } from './helper.ts'\nfor (const n of [2, 3]) half(n)\n`,
    })
    await expect(failing).rejects.toThrow(/RangeError: odd\n\nIt went wrong in \S*helper\.ts:2:/)
    await expect(failing).rejects.toThrow("> 2 |   if (n % 2) throw new RangeError('odd')")
    await expect(failing).rejects.toThrow(/stopped at \S*n\.ts:4/)
  })

  it('in a helper that cannot be read names its line', async () => {
    const failing = run({ 'helper.ts': 'export const a = (\n', 'n.ts': "import './helper.ts'\n" })
    await expect(failing).rejects.toThrow(/It went wrong in \S*helper\.ts:2/)
  })

  it('in the types of a helper is told of its line', () => {
    const path = join(
      folderOf({ 'helper.ts': "export const a: number = 'x'\n", 'n.ts': "import './helper.ts'\n" }),
      'n.ts',
    )
    const { file, source } = readNotebook(path)
    expect(() => checkTypes(file, path, source)).toThrow(/helper\.ts:1: Type 'string' is not assignable/)
  })

  it('when memory runs out says so, and where it had come to', async () => {
    vi.stubEnv('NODE_OPTIONS', '--max-old-space-size=120')
    const failing = run({
      'n.ts': `${SHOW}const all: number[][] = []\nfor (;;) all.push(Array.from({ length: 100_000 }, Math.random))\n`,
    })
    await expect(failing).rejects.toThrow(/memory ran out.*\n\nIt had last shown something at \S*n\.ts:2/)
    vi.unstubAllEnvs()
  })
})

describe('what a forgotten await leaves running', () => {
  it('is on the page all the same', async () => {
    const { cells } = await run({ 'n.ts': `${SHOW}setTimeout(() => show('later'), 50)\n` })
    expect(cells.flatMap((c) => c.blocks)).toEqual([
      { kind: 'markdown', text: '# Page' },
      { kind: 'markdown', text: 'later' },
    ])
  })
})

describe('a notebook without end', () => {
  it.each(['SIGINT', 'SIGTERM'] as const)(
    'is ended by %s, with no process left and no page',
    async (signal) => {
      const cwd = folderOf({ 'n.ts': `${SHOW}console.log(process.pid)\nfor (;;) Math.random()\n` })
      const child = spawn(process.execPath, [...COMMAND, 'run', 'n.ts', '--no-check'], { cwd })
      const ended = new Promise<number | null>((done) => child.once('close', done))
      let err = ''
      child.stderr.on('data', (chunk) => {
        err += chunk
      })
      const pid = await new Promise<number>((done) =>
        child.stdout.once('data', (chunk) => done(Number(chunk))),
      )
      child.kill(signal)
      expect(await ended).toBe(signal === 'SIGINT' ? 130 : 143)
      expect(err).toMatch(/The notebook was stopped\.\n\nIt had last shown something at n\.ts:2/)
      expect(() => process.kill(pid, 0)).toThrow(/ESRCH/)
      expect(existsSync(join(cwd, 'reports'))).toBe(false)
    },
  )
})
