import { execFile, execFileSync } from 'node:child_process'
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { beforeAll, describe, expect, it, vi } from 'vitest'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
const run = promisify(execFile)
vi.setConfig({ testTimeout: 120_000, hookTimeout: 300_000 })

/**
 * Builds into a copy of the checkout, packs it as `npm pack` does, unpacks it into an empty folder, and puts the
 * dependencies of the checkout beside it: what `npm install` of the package gives, without a network.
 */
function installed(): string {
  const copy = mkdtempSync(join(tmpdir(), 'waneline-pack-'))
  const project = mkdtempSync(join(tmpdir(), 'waneline-installed-'))
  for (const name of readdirSync(ROOT))
    if (!['.git', 'dist', 'package.json', 'reports', 'tests'].includes(name))
      symlinkSync(join(ROOT, name), join(copy, name))
  // Links to folders would be packed as links: what is packed has to be copied.
  const manifest = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as {
    files: string[]
    dependencies: object
  }
  writeFileSync(join(copy, 'package.json'), JSON.stringify(manifest))
  execFileSync('npx', ['tsc', '-p', 'tsconfig.build.json', '--outDir', join(copy, 'dist')], { cwd: ROOT })
  for (const name of ['datasets', 'notebooks']) {
    execFileSync('rm', [join(copy, name)])
    execFileSync('cp', ['-r', join(ROOT, name), join(copy, name)])
  }
  const packed = execFileSync(
    'npm',
    ['pack', '--silent', '--ignore-scripts', '--pack-destination', project],
    { cwd: copy, encoding: 'utf8' },
  )
  const modules = join(project, 'node_modules')
  mkdirSync(modules)
  execFileSync('tar', ['-xzf', join(project, packed.trim()), '-C', modules])
  execFileSync('mv', [join(modules, 'package'), join(modules, 'waneline')])
  for (const name of readdirSync(join(ROOT, 'node_modules')))
    if (!name.startsWith('.') && name !== 'waneline' && name !== 'danfojs')
      symlinkSync(join(ROOT, 'node_modules', name), join(modules, name))
  return project
}

describe('the package, installed in an empty folder', () => {
  let cwd: string
  const node = (...words: readonly string[]) => run(process.execPath, words, { cwd })
  const CLI = 'node_modules/waneline/dist/cli.js'
  beforeAll(() => {
    cwd = installed()
  })

  it('is a library for a plain script', async () => {
    writeFileSync(
      join(cwd, 'script.mjs'),
      `import { loadFolder, parseDay, statistics } from 'waneline'
const { records } = await loadFolder('node_modules/waneline/datasets/saltmarsh', { asOf: parseDay('2026-06-30') })
console.log(records.clients.length, statistics.wilsonInterval(81, 263).interval.lower.toFixed(4))`,
    )
    // Lower limit by Wilson of 81 of 263: Newcombe (1998) Stat Med 17:857-872, table I.
    expect((await node('script.mjs')).stdout.trim()).toMatch(/^[1-9]\d* 0\.2553$/)
  })

  it('has type declarations that a project of its own can check against', async () => {
    const check = (name: string, source: string) => {
      writeFileSync(join(cwd, name), source)
      const options = ['--noEmit', '--strict', '--module', 'nodenext', '--target', 'es2023', '--skipLibCheck']
      return node(join(ROOT, 'node_modules/typescript/bin/tsc'), ...options, name)
    }
    await check(
      'typed.mts',
      `import { type Loaded, loadFolder, parseDay, statistics } from 'waneline'
const day: number | null = parseDay('2026-06-30')
const load: (folder: string) => Promise<Loaded> = loadFolder
export const all = [day, load, statistics.wilsonInterval(81, 263).interval.lower]`,
    )
    const wrong = check(
      'wrong.mts',
      `import { parseDay } from 'waneline'\nexport const day: string = parseDay('x')`,
    )
    await expect(wrong).rejects.toMatchObject({
      stdout: expect.stringContaining("not assignable to type 'string'"),
    })
  })

  it('writes and runs a notebook, with its type check', async () => {
    await node(CLI, 'new', 'my-question')
    expect((await node(CLI, 'run', 'my-question.ts')).stdout).toContain('reports/my-question.html')
    expect(readFileSync(join(cwd, 'reports/my-question.html'), 'utf8')).toContain('My question')
  })

  it('runs the notebooks and the demo it carries, to a page and slides, and verifies the page', async () => {
    const demo = ['--data', 'node_modules/waneline/datasets/saltmarsh', '--as-of', '2026-06-30']
    await node(
      CLI,
      'run',
      'node_modules/waneline/notebooks/caseload-review.ts',
      ...demo,
      '--format',
      'html,pptx',
      '--no-check',
    )
    const told = await node(
      CLI,
      'verify',
      'reports/caseload-review.html',
      '--notebook',
      'node_modules/waneline/notebooks/caseload-review.ts',
    )
    expect(told.stdout).toContain('is reproduced')
    const check = await node(CLI, 'run', 'node_modules/waneline/notebooks/methods-check.ts', '--no-check')
    expect(check.stdout).toContain('reports/methods-check.html')
  })

  it('says how to get danfojs where it is not there', async () => {
    writeFileSync(
      join(cwd, 'danfo.mjs'),
      `import { asDanfo } from 'waneline'\nawait asDanfo([{ a: 1 }]).catch((e) => console.log(e.message))`,
    )
    expect((await node('danfo.mjs')).stdout).toContain('npm install danfojs')
  })
})
