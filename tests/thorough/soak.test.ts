import { execFile } from 'node:child_process'
import { cpSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { afterAll, expect, it } from 'vitest'

const root = join(import.meta.dirname, '../..')
const folder = mkdtempSync(join(tmpdir(), 'soak-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const RUNS = 200
/** Compiled code and caches of fixed size settle in the first runs; from 20 to 200, this much more is no growth. */
const MOST_GROWTH_MIB = 4

it(`${RUNS} runs in one process need no more memory than 20`, async () => {
  cpSync(join(root, 'datasets/saltmarsh'), join(folder, 'saltmarsh'), { recursive: true })
  const { stdout } = await promisify(execFile)(
    process.execPath,
    [
      ...['--expose-gc', '--disable-warning=DEP0205', '--import', 'tsx', '--conditions=waneline-source'],
      ...['tests/thorough/soak.ts', join(folder, 'saltmarsh'), String(RUNS)],
    ],
    { cwd: root },
  )
  const mebibytes = new Map(
    stdout
      .trim()
      .split('\n')
      .map((line) => line.split(' ').map(Number) as [number, number]),
  )
  expect([...mebibytes.keys()]).toEqual(expect.arrayContaining([20, 100, 200]))
  expect(mebibytes.get(200)! - mebibytes.get(20)!, stdout).toBeLessThan(MOST_GROWTH_MIB)
})
