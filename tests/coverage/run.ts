/**
 * `npm run coverage [-- NAME...]`: simulates seeded data and counts how often 95 % intervals hold the truth. Runs every file of
 * this folder that exports a study, or those whose file names contain a NAME. Exit 0 only if each coverage lies where theory
 * puts it; a method that is known to fall short is measured and shown, and fails nothing.
 */
import { readdirSync } from 'node:fs'
import path from 'node:path'
import type { Coverage, CoverageStudy } from './study.ts'

const SELF = new Set(['run.ts', 'study.ts'])

async function studiesIn(file: string): Promise<CoverageStudy[]> {
  const exported: Record<string, unknown> = await import(path.join(import.meta.dirname, file))
  return Object.values(exported).filter(
    (value): value is CoverageStudy => typeof value === 'object' && value !== null && 'run' in value,
  )
}

function lies({ covered, simulations, expected }: Coverage): boolean {
  const share = covered / simulations
  return expected === null || (share >= expected[0] && share <= expected[1])
}

function line(coverage: Coverage): string {
  const { what, covered, simulations, expected } = coverage
  const verdict = expected === null ? 'known' : lies(coverage) ? 'holds' : 'FAILS'
  const percent = (share: number) => `${(100 * share).toFixed(1)} %`
  const bounds = expected === null ? 'falls short, see docstring' : `${expected.map(percent).join(' to ')}`
  return `${verdict}  ${percent(covered / simulations)} (${covered} of ${simulations})  ${what}  [${bounds}]`
}

const wanted = process.argv.slice(2)
const files = readdirSync(import.meta.dirname)
  .filter((file) => file.endsWith('.ts') && !SELF.has(file))
  .filter((file) => wanted.length === 0 || wanted.some((name) => file.includes(name)))
  .sort()

const failures: Coverage[] = []
for (const file of files)
  for (const study of await studiesIn(file)) {
    const start = performance.now()
    process.stdout.write(`${study.name}\n`)
    for (const coverage of study.run()) {
      process.stdout.write(`  ${line(coverage)}\n`)
      if (!lies(coverage)) failures.push(coverage)
    }
    process.stdout.write(`  ${((performance.now() - start) / 1000).toFixed(0)} s\n`)
  }
process.stdout.write(
  failures.length === 0 ? 'All coverages lie where they should\n' : `${failures.length} do not\n`,
)
process.exitCode = failures.length === 0 && files.length > 0 ? 0 : 1
