/**
 * How soon a save shows: from the notebook's file written to the changed page seen in a real browser, beside a whole `waneline
 * run` of the same notebook. `npm run bench:watch -- [saves] [notebook]`.
 */
import { execFileSync, spawn } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Page } from 'playwright-core'
import { launchBrowser } from '../browser/browser.ts'

const [saves = '8', notebook = 'notebooks/caseload-review.ts'] = process.argv.slice(2)
const here = (path: string): string => fileURLToPath(new URL(`../../${path}`, import.meta.url))
/** Long enough for the next process to have read the records, as for someone who reads before they write on. */
const PAUSE_MS = 5000

const folder = mkdtempSync(join(tmpdir(), 'waneline-bench-watch-'))
const file = join(folder, 'watched.ts')
const source = readFileSync(notebook, 'utf8')
writeFileSync(file, source)

const command = [
  '--import',
  createRequire(import.meta.url).resolve('tsx'),
  '--conditions=waneline-source',
  here('src/cli.ts'),
]
const given = ['--data', here('datasets/saltmarsh'), '--as-of', '2026-06-30']

const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  return sorted.length % 2 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2
}

function wholeRun(): number {
  const began = performance.now()
  execFileSync(
    process.execPath,
    [...command, 'run', file, '--no-check', '--out', join(folder, 'page.html'), ...given],
    { stdio: 'ignore' },
  )
  return performance.now() - began
}

/** Milliseconds from the write to the first frame of the changed page. */
async function save(page: Page, version: number): Promise<number> {
  const seen = page.evaluate<number>(
    `new Promise(done => new MutationObserver((_, all) => {
      if (document.body.dataset.version !== '${version}') return
      all.disconnect()
      requestAnimationFrame(() => done(Date.now()))
    }).observe(document.body, { attributes: true }))`,
  )
  const began = Date.now()
  writeFileSync(file, source.replace(/\n\/\* md/, `\nshow('Save ${version}')\n/* md`))
  return (await seen) - began
}

const runs = [wholeRun(), wholeRun(), wholeRun()]
const child = spawn(process.execPath, [...command, 'watch', file, '--no-check', ...given], {
  stdio: ['ignore', 'pipe', 'inherit'],
})
const browser = await launchBrowser()
try {
  const address = await new Promise<string>((done, reject) => {
    child.once('exit', (code) => reject(new Error(`waneline watch ended with ${code}`)))
    child.stdout.once('data', (chunk) => done(String(chunk).split('\n')[0]!))
  })
  const page = await browser.newPage({ viewport: { width: 1000, height: 700 } })
  await page.goto(address)
  await page.waitForSelector('body[data-version="1"]', { timeout: 60_000 })
  const times: number[] = []
  for (let i = 0; i < Number(saves); i++) {
    await page.waitForTimeout(PAUSE_MS)
    times.push(await save(page, i + 2))
    const shown = await page
      .frameLocator('iframe')
      .getByText(`Save ${i + 2}`, { exact: true })
      .count()
    if (shown !== 1) throw new Error(`the page does not show save ${i + 2}`)
    console.log(`save ${i + 1}: ${times.at(-1)} ms`)
  }
  const [reload, whole] = [median(times), median(runs)]
  console.log(
    `reload, median of ${times.length}: ${reload} ms (${Math.min(...times)} to ${Math.max(...times)})`,
  )
  console.log(
    `waneline run, median of 3: ${Math.round(whole)} ms; ${(whole / reload).toFixed(1)} times as long`,
  )
} finally {
  await browser.close()
  child.removeAllListeners('exit')
  child.kill()
  rmSync(folder, { recursive: true, force: true })
}
