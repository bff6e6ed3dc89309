import { execFile } from 'node:child_process'
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, symlinkSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { beforeAll, describe, expect, it, vi } from 'vitest'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
const GUIDES = ['lead', 'clinician', 'researcher', 'contributor']
const run = promisify(execFile)
vi.setConfig({ testTimeout: 180_000 })

/** Commands that are this suite itself, or that other tests and .ci/run execute: here only their name is checked. */
const ELSEWHERE = ['npm ci', 'npm test', 'npm start', 'npm run check', 'npm run build', 'npm run reference']

const commandsOf = (guide: string): string[] =>
  [...readFileSync(join(ROOT, 'notebooks/guides', `${guide}.md`), 'utf8').matchAll(/```sh\n([\s\S]*?)```/g)]
    .flatMap((block) => block[1]!.split('\n'))
    .map((line) => line.trim())
    .filter((line) => line !== '')

const known = new Set<string>()
const distinct = GUIDES.flatMap((guide) =>
  commandsOf(guide)
    .filter((command) => !known.has(command) && known.add(command))
    .map((command) => ({ guide, command })),
)
const here = distinct.filter(
  ({ command }) => !ELSEWHERE.some((known) => command === known || command.startsWith(`${known} `)),
)

describe('the guides, followed word for word in a copy of the checkout', () => {
  const copy = mkdtempSync(join(tmpdir(), 'waneline-guides-'))
  beforeAll(() => {
    for (const name of ['src', 'datasets', 'notebooks', 'package.json', 'tsconfig.json'])
      cpSync(join(ROOT, name), join(copy, name), { recursive: true })
    mkdirSync(join(copy, 'reports'))
    symlinkSync(join(ROOT, 'node_modules'), join(copy, 'node_modules'))
  })

  it('have commands, each', () => {
    for (const guide of GUIDES) expect(commandsOf(guide).length, guide).toBeGreaterThan(2)
  })

  it('name only scripts that there are', () => {
    const { scripts } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as { scripts: object }
    const texts = [...GUIDES.map((g) => `notebooks/guides/${g}.md`), 'README.md', 'DEVELOPERS.md']
    for (const file of texts)
      for (const m of readFileSync(join(ROOT, file), 'utf8').matchAll(/npm run (?:-s )?([\w:]+)/g))
        expect(Object.keys(scripts), `${file}: ${m[0]}`).toContain(m[1])
  })

  it.each(here)('$guide: $command', async ({ command }) => {
    const [program, ...words] = command.split(' ')
    const ended = await run(program!, words, { cwd: copy, maxBuffer: 64 * 1024 * 1024 })
    if (!command.includes('reference:api')) expect(ended.stdout).not.toBe('')
  })

  it('left the pages that they promise', () => {
    const reports = readdirSync(join(copy, 'reports'))
    for (const page of [
      'caseload-review.html',
      'case-presentation.pptx',
      'methods-check.html',
      'first-look.ipynb',
      'my-question.html',
      'masked',
    ])
      expect(reports).toContain(page)
    expect(readdirSync(join(copy, 'records'))).toContain('problems.csv')
    expect(readdirSync(join(copy, 'tables'))).toEqual(['2026-03', '2026-06'])
    const report = readFileSync(join(copy, 'tables/2026-06/risk-report.json'), 'utf8')
    expect(JSON.parse(report).intersection.joined).toBeGreaterThan(30)
  })
})
