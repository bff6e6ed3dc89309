import { spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'

const folder = mkdtempSync(join(tmpdir(), 'caseload-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const root = join(import.meta.dirname, '../..')
const run = (...args: string[]) => spawnSync(process.execPath, args, { cwd: root, encoding: 'utf8' })

it('the benchmark’s job gives the figures that R gives of the same caseload', () => {
  const data = join(folder, 'data')
  expect(run('tests/bench/make-caseload.mjs', '--clients', '40', '--days', '200', '--out', data).status).toBe(
    0,
  )
  expect(run('tests/bench/build.mjs').status).toBe(0)
  const job = run(
    'dist/bench/caseload.js',
    '--data',
    data,
    '--out',
    join(folder, 'own'),
    '--as-of',
    '2025-07-24',
  )
  expect(job.stderr).toBe('')
  const agreement = run(
    'tests/bench/check.mjs',
    join(import.meta.dirname, 'data/forty-clients'),
    join(folder, 'own'),
  )
  expect(agreement.stdout).toContain('figures agree')
  expect(readFileSync(join(folder, 'own/summary.csv'), 'utf8')).toContain('clients_kept,40')
})
