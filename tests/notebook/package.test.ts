import { execFile, execFileSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import {
  chmodSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { beforeAll, describe, expect, it, vi } from 'vitest'
import { GUIDE_FILES, libraryGuide, pack, ROOT } from './packed.ts'

const run = promisify(execFile)
vi.setConfig({ testTimeout: 300_000, hookTimeout: 300_000 })

/**
 * Unpacks the package into an empty folder, and puts the dependencies of the checkout beside it: what `npm install` of the
 * package gives, without a network. `npm run thorough` does install it.
 */
function installed(): string {
  const project = mkdtempSync(join(tmpdir(), 'waneline-installed-'))
  const modules = join(project, 'node_modules')
  mkdirSync(join(modules, '.bin'), { recursive: true })
  execFileSync('tar', ['-xzf', pack(project), '-C', modules])
  renameSync(join(modules, 'package'), join(modules, 'waneline'))
  for (const name of readdirSync(join(ROOT, 'node_modules')))
    if (!name.startsWith('.') && name !== 'waneline' && name !== 'danfojs')
      symlinkSync(join(ROOT, 'node_modules', name), join(modules, name))
  chmodSync(join(modules, 'waneline/dist/cli.js'), 0o755)
  symlinkSync('../waneline/dist/cli.js', join(modules, '.bin/waneline'))
  symlinkSync('../typescript/bin/tsc', join(modules, '.bin/tsc'))
  return project
}

describe('the package, installed in an empty folder', () => {
  let cwd: string
  const node = (...words: readonly string[]) => run(process.execPath, words, { cwd })
  const CLI = 'node_modules/waneline/dist/cli.js'
  beforeAll(() => {
    cwd = installed()
  })

  it('holds what it needs and nothing else: licence, types, demo and notebooks, in 2 MB', () => {
    const archive = readdirSync(cwd).find((name) => name.endsWith('.tgz'))!
    expect(statSync(join(cwd, archive)).size).toBeLessThan(2_000_000)
    const files = readdirSync(join(cwd, 'node_modules/waneline'), { recursive: true }) as string[]
    for (const name of [
      'LICENSE',
      'README.md',
      'dist/index.js',
      'dist/index.d.ts',
      'datasets/reading-guide.md',
      'datasets/published-examples.json',
      'datasets/saltmarsh/heron/clients.csv',
      'notebooks/guides/library.md',
    ])
      expect(files).toContain(name)
    expect(files.filter((name) => /^(src|tests|node_modules|reports)\b|\.test\./.test(name))).toEqual([])
  })

  it('does what the guide for those who install it says, word for word', async () => {
    const names = [...GUIDE_FILES]
    const said: string[] = []
    for (const { language, text } of libraryGuide()) {
      if (language !== 'sh') writeFileSync(join(cwd, names.shift()!), text)
      else
        for (const line of text.trim().split('\n')) {
          if (/^npm (init|install)/.test(line)) continue
          const [program, ...words] = line.split(' ')
          said.push((await run(program!, words, { cwd })).stdout)
        }
    }
    expect(names).toEqual([])
    // Limits by Wilson of 81 of 263: Newcombe (1998) Stat Med 17:857-872, table I: 0.2553 to 0.3662.
    const told = said.join('')
    expect(told).toMatch(/^[1-9]\d* clients, [1-9]\d* reflexes$/m)
    expect(Number(/lower: (0\.\d+)/.exec(told)?.[1]).toFixed(4)).toBe('0.2553')
    expect(Number(/upper: (0\.\d+)/.exec(told)?.[1]).toFixed(4)).toBe('0.3662')
    expect(said.at(-1)).toContain('is reproduced')
    expect(readFileSync(join(cwd, 'reports/my-question.html'), 'utf8')).toContain('My question')
  })

  it('has type declarations that find what is wrong', async () => {
    const source = `import { parseDay } from 'waneline'\nexport const day: string = parseDay('x')`
    writeFileSync(join(cwd, 'wrong.mts'), source)
    const options = ['--noEmit', '--strict', '--module', 'nodenext', '--target', 'es2023', '--skipLibCheck']
    await expect(node('node_modules/.bin/tsc', ...options, 'wrong.mts')).rejects.toMatchObject({
      stdout: expect.stringContaining("not assignable to type 'string'"),
    })
  })

  it('makes slides, and runs the notebook on methods with its data', async () => {
    await node(CLI, 'run', 'my-question.ts', '--format', 'pptx', '--no-check')
    expect(readdirSync(join(cwd, 'reports'))).toContain('my-question.pptx')
    const check = await node(CLI, 'run', 'node_modules/waneline/notebooks/methods-check.ts', '--no-check')
    expect(check.stdout).toContain('reports/methods-check.html')
    const page = readFileSync(join(cwd, 'reports/methods-check.html'), 'utf8')
    const data = readFileSync(join(ROOT, 'datasets/published-examples.json'))
    expect(page).toContain(createHash('sha256').update(data).digest('hex'))
  })

  it('says how to get danfojs where it is not there', async () => {
    writeFileSync(
      join(cwd, 'danfo.mjs'),
      `import { asDanfo } from 'waneline'\nawait asDanfo([{ a: 1 }]).catch((e) => console.log(e.message))`,
    )
    expect((await node('danfo.mjs')).stdout).toContain('npm install danfojs')
  })
})
