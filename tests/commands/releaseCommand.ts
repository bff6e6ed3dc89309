import { spawn } from 'node:child_process'
import { cpSync, mkdtempSync, readdirSync, readFileSync, statSync, symlinkSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { Command } from 'commander'
import { build } from 'esbuild'
import { vi } from 'vitest'
import { registerRelease } from '../../src/commands/release.ts'

const ROOT = join(import.meta.dirname, '..', '..')

/** Runs `waneline release` in this process; what it printed, or the error that a person would be told. */
export async function release(...words: string[]): Promise<string> {
  let printed = ''
  const spy = vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    printed += String(text)
    return true
  })
  try {
    const program = new Command('waneline').exitOverride().configureOutput({ writeErr: () => {} })
    registerRelease(program)
    for (const command of program.commands) command.exitOverride().configureOutput({ writeErr: () => {} })
    await program.parseAsync(['node', 'waneline', 'release', ...words])
    return printed
  } finally {
    spy.mockRestore()
  }
}

/** Everything under a folder: path, rights, and of a file its content. */
export function snapshot(folder: string): Record<string, string> {
  const entries = readdirSync(folder, { recursive: true, withFileTypes: true })
  return Object.fromEntries(
    entries.map((e) => {
      const path = join(e.parentPath, e.name)
      const rights = (statSync(path).mode & 0o777).toString(8)
      return [
        path.slice(folder.length + 1),
        e.isFile() ? `${rights} ${readFileSync(path, 'latin1')}` : rights,
      ]
    }),
  )
}

/** The command line as a few files of JavaScript in a folder of their own, so that what it touches can be fenced in. */
export async function bundled(): Promise<string> {
  const home = mkdtempSync(join(tmpdir(), 'waneline-bundle-'))
  cpSync(join(ROOT, 'package.json'), join(home, 'package.json'))
  symlinkSync(join(ROOT, 'node_modules'), join(home, 'node_modules'))
  await build({
    entryPoints: [join(ROOT, 'src/cli.ts')],
    outdir: join(home, 'dist'),
    bundle: true,
    splitting: true,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    packages: 'external',
    conditions: ['waneline-source'],
    logLevel: 'warning',
  })
  return home
}

export interface Ended {
  readonly code: number | null
  readonly signal: NodeJS.Signals | null
  readonly out: string
  readonly err: string
}

/** Runs the bundled command line under these flags of Node. */
export const runBundle = (
  home: string,
  flags: readonly string[],
  words: readonly string[],
  env: NodeJS.ProcessEnv = {},
): Promise<Ended> =>
  new Promise((done, reject) => {
    const child = spawn(process.execPath, [...flags, join(home, 'dist/cli.js'), ...words], {
      cwd: home,
      env: { ...process.env, ...env },
    })
    let out = ''
    let err = ''
    child.stdout.on('data', (text) => {
      out += text
    })
    child.stderr.on('data', (text) => {
      err += text
    })
    child.once('error', reject)
    child.once('close', (code, signal) => done({ code, signal, out, err }))
  })

/** Node's own fence around the file system: only these may be read, only those written. */
export function fence(home: string, read: readonly string[], write: readonly string[]): string[] {
  const [major = 0, minor = 0] = process.versions.node.split('.').map(Number)
  const named = major > 23 || (major === 23 && minor >= 5) || (major === 22 && minor >= 13)
  return [
    named ? '--permission' : '--experimental-permission',
    '--no-warnings',
    '--allow-worker',
    ...['package.json', 'dist/*', 'node_modules/*'].map((p) => `--allow-fs-read=${join(home, p)}`),
    `--allow-fs-read=${join(ROOT, 'node_modules')}/*`,
    ...read.map((p) => `--allow-fs-read=${p}`),
    ...write.map((p) => `--allow-fs-write=${p}`),
  ]
}
