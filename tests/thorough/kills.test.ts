import { spawn } from 'node:child_process'
import { createHash } from 'node:crypto'
import { cpSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'

const root = join(import.meta.dirname, '../..')
const folder = mkdtempSync(join(tmpdir(), 'kills-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const KILLS = Number(process.env.KILLS ?? 34)
const RERUN_EVERY = 6
/** A copy of the demo clinic, beside which what was read is kept. */
const DATA = join(folder, 'saltmarsh')
const CACHE = join(DATA, '.waneline-cache')
cpSync(join(root, 'datasets/saltmarsh'), DATA, {
  recursive: true,
  filter: (path) => !path.includes('.waneline-cache'),
})
const AS_OF = '2026-06-30'

/** Runs the command line; killed without warning after so many milliseconds, where a number is given. */
function cli(
  args: readonly string[],
  killAfter?: number,
): Promise<{ status: number | null; errors: string }> {
  return new Promise((resolve) => {
    const loader = ['--import', 'tsx', '--conditions=waneline-source']
    const child = spawn(process.execPath, [...loader, 'src/cli.ts', ...args], { cwd: root })
    let errors = ''
    child.stderr.on('data', (text) => {
      errors += text
    })
    const timer = killAfter === undefined ? undefined : setTimeout(() => child.kill('SIGKILL'), killAfter)
    child.on('close', (status) => {
      clearTimeout(timer)
      resolve({ status, errors })
    })
  })
}

/** Digest of every file under a final name; those under temporary names are no results. */
const digests = (out: string): Record<string, string> =>
  !existsSync(out)
    ? {}
    : Object.fromEntries(
        readdirSync(out, { withFileTypes: true, recursive: true })
          .filter((e) => e.isFile() && !e.name.endsWith('.part'))
          .map((e) => [
            e.name,
            createHash('sha256')
              .update(readFileSync(join(e.parentPath, e.name)))
              .digest('hex'),
          ]),
      )

const COMMANDS: Readonly<Record<string, (out: string) => string[]>> = {
  read: (out) => ['read', DATA, '--as-of', AS_OF, '--out', out],
  run: (out) => [
    'run',
    'notebooks/first-look.ts',
    '--no-check',
    '--data',
    DATA,
    '--as-of',
    AS_OF,
    '--out',
    out,
  ],
  release: (out) => [
    'release',
    DATA,
    '--as-of',
    AS_OF,
    '--out',
    out,
    '--secret',
    join(folder, 'clinic.secret'),
  ],
}

describe('killed at any moment, nothing under a final name is half a file, and the next run is right', () => {
  it.each(Object.keys(COMMANDS))('%s', async (name) => {
    const command = COMMANDS[name]!
    // The first run makes the secret of a release; the second is the reference.
    await cli(command(join(folder, `${name}-first`)))
    const started = performance.now()
    const reference = await cli(command(join(folder, name)))
    const milliseconds = performance.now() - started
    expect(reference.status, reference.errors).toBe(0)
    const right = digests(join(folder, name))
    expect(Object.keys(right).length).toBeGreaterThan(0)
    let killed = 0
    for (let k = 0; k < KILLS; k++) {
      const out = join(folder, `${name}-${Math.floor(k / RERUN_EVERY)}`)
      // Every other run begins without what was read before, so that it is killed while it keeps that, too.
      if (k % 2 === 0) rmSync(CACHE, { recursive: true, force: true })
      // Most kills late in the run, where files are written.
      const { status } = await cli(command(out), milliseconds * (1 - 0.8 * Math.random() ** 2))
      if (status === null) killed++
      for (const [file, digest] of Object.entries(digests(out)))
        expect(digest, `${name}: ${file}`).toBe(right[file])
      if (k % RERUN_EVERY !== RERUN_EVERY - 1) continue
      await cli(command(out))
      expect(digests(out)).toEqual(right)
    }
    expect(killed).toBeGreaterThan(KILLS / 4)
  })
})
