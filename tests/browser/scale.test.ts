import { execFileSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { pageHtml } from '../../src/notebook/html/page.ts'
import { runNotebook } from '../../src/notebook/run.ts'
import { launchBrowser, openFile, sidewaysScroll } from './browser.ts'

const ROOT = join(import.meta.dirname, '..', '..')
const MAKER = join(ROOT, 'tests', 'bench', 'make-caseload.mjs')
const NOTEBOOK = join(ROOT, 'notebooks', 'caseload-review.ts')
const folder = mkdtempSync(join(tmpdir(), 'waneline-scale-'))

/** The caseload review of an invented caseload of so many clients, and the processor's seconds that its page took. */
async function review(clients: number, days: number): Promise<{ file: string; seconds: number }> {
  const data = join(folder, `${clients}`)
  execFileSync(process.execPath, [MAKER, '--clients', `${clients}`, '--days', `${days}`, '--out', data])
  const truth = JSON.parse(readFileSync(join(data, 'truth.json'), 'utf8')) as { as_of: string }
  const page = await runNotebook(NOTEBOOK, { given: { data, asOf: truth.as_of }, origin: {} })
  const before = process.cpuUsage()
  const html = await pageHtml(page, { code: true })
  const { user, system } = process.cpuUsage(before)
  const file = join(folder, `${clients}.html`)
  writeFileSync(file, html)
  return { file, seconds: (user + system) / 1e6 }
}

let browser: Browser
beforeAll(async () => {
  browser = await launchBrowser()
})
afterAll(async () => {
  await browser?.close()
  rmSync(folder, { recursive: true })
})

describe('the caseload review of 2,000 clients', () => {
  let file: string
  let seconds: number
  beforeAll(async () => {
    ;({ file, seconds } = await review(2000, 60))
  }, 240_000)

  it('is made within 10 s of the measures, in under 8 MB', () => {
    expect(seconds).toBeLessThan(10)
    expect(readFileSync(file).length).toBeLessThan(8e6)
  })

  it.each([
    [1280, 900],
    [390, 844],
  ])('opens in under 2 s at %i px, and its first screen says who needs us', async (width, height) => {
    const taken: number[] = []
    // The quickest of three: the machine has other work.
    for (let i = 0; i < 3; i++) {
      const { page, complaints, requests } = await openFile(browser, file, { width, height })
      taken.push(await page.evaluate<number>("performance.getEntriesByType('navigation')[0].loadEventEnd"))
      expect([complaints, requests]).toEqual([[], []])
      expect(await sidewaysScroll(page)).toBe(0)
      const first = await page.locator('ol.entries > li.urgent .why').first().boundingBox()
      expect(first!.y + 24).toBeLessThan(height)
      await page.context().close()
    }
    expect(Math.min(...taken)).toBeLessThan(2000)
  })

  it('can be searched and narrowed, list and tables alike', async () => {
    const { page, complaints } = await openFile(browser, file)
    const shown = page.locator('ol.entries > li:visible')
    // A list that can be read: each reason shows its first few.
    expect(await shown.count()).toBeLessThan(40)
    const all = page.locator('.entriesbox').first()
    const id = (await all.locator('details li .who a').last().textContent())!
    await all.getByRole('searchbox').fill(id)
    expect(await all.locator('li:visible .who a').allTextContents()).toEqual([id])
    await all.locator('li:visible .who a').click()
    await expect.poll(() => page.locator('tr.here').isVisible()).toBe(true)
    expect(await page.locator('tr.here td').first().textContent()).toBe(id)
    await all.getByRole('searchbox').fill('')
    await page.locator('details.filters summary').click()
    await page.getByLabel('Site', { exact: true }).selectOption('Heron')
    await expect.poll(() => page.locator('.variants').getAttribute('data-part')).toMatch(/^\d+$/)
    expect(
      (await all.locator('li:visible .under').allTextContents()).every((under) => under.endsWith('Heron')),
    ).toBe(true)
    expect(complaints).toEqual([])
    await page.context().close()
  })
})

describe('the caseload review of 10 clients', () => {
  it('has no empty frame, no figure of nothing, no sideways scroll', async () => {
    const { file } = await review(10, 200)
    const { page, complaints } = await openFile(browser, file, { width: 390, height: 844 })
    expect(complaints).toEqual([])
    expect(await sidewaysScroll(page)).toBe(0)
    const drawn = await page
      .locator('figure svg')
      .evaluateAll((all) =>
        all.map(
          (svg) =>
            svg.querySelectorAll('.mark-symbol path, .mark-rect path, .mark-line path, .mark-rule line')
              .length,
        ),
      )
    expect(drawn.length).toBeGreaterThan(10)
    expect(Math.min(...drawn)).toBeGreaterThan(0)
    expect(await page.locator('main').textContent()).not.toMatch(/NaN|undefined|Infinity|\bnull\b/)
    await page.context().close()
  }, 120_000)
})
