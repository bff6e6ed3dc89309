import { mkdtempSync, readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { waneline } from '../notebook/command.ts'
import { launchBrowser, openFile } from './browser.ts'

const ROOT = join(import.meta.dirname, '..', '..')
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
// WCAG 2.2 AA as axe-core checks it is the outside judge of the page.
const WCAG = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']

describe('the caseload review of the demo clinic, in a real browser', () => {
  const out = mkdtempSync(join(tmpdir(), 'waneline-review-'))
  const file = join(out, 'caseload-review.html')
  let browser: Browser

  beforeAll(async () => {
    const demo = ['--data', 'datasets/saltmarsh', '--as-of', '2026-06-30', '--out', out, '--no-check']
    const ended = await waneline(['run', 'notebooks/caseload-review.ts', ...demo], { cwd: ROOT })
    expect(ended.err).toBe('')
    browser = await launchBrowser()
  })
  afterAll(() => browser.close())

  it.each([
    [1280, 'light'],
    [390, 'light'],
    [320, 'dark'],
  ] as const)(
    'opens at %i px, %s, without a complaint, a request or a sideways scroll',
    async (width, colorScheme) => {
      const { page, complaints, requests } = await openFile(browser, file, { width, colorScheme })
      const wide = await page.evaluate<number>('document.documentElement.scrollWidth')
      expect(complaints).toEqual([])
      expect(requests).toEqual([])
      expect(wide).toBeLessThanOrEqual(width)
      await page.context().close()
    },
  )

  it('shows who needs a person on the first screen, and at least five charts with title, description and table', async () => {
    const { page } = await openFile(browser, file, { javaScriptEnabled: true })
    const urgent = page.locator('ol.entries > li.urgent').first()
    const box = await urgent.boundingBox()
    expect(box!.y + box!.height).toBeLessThan(900)
    const figures = await page.locator('figure').evaluateAll((all) =>
      all.map((f) => ({
        drawn: f.querySelectorAll('svg path, svg line').length,
        title: f.querySelector('svg > title')?.textContent ?? '',
        description: f.querySelector('svg > desc')?.textContent ?? '',
        rows: f.querySelectorAll('details tbody tr').length,
      })),
    )
    const whole = figures.filter((f) => f.drawn > 5 && f.title && f.description && f.rows > 0)
    expect(whole.length).toBeGreaterThanOrEqual(5)
    await page.context().close()
  })

  it('can be read with scripts off', async () => {
    const { page, complaints } = await openFile(browser, file, { javaScriptEnabled: false })
    expect(await page.locator('h2').count()).toBeGreaterThan(5)
    expect(await page.locator('figure svg').first().isVisible()).toBe(true)
    expect(complaints).toEqual([])
    await page.context().close()
  })

  it.each(['light', 'dark'] as const)(
    'has no fault that axe-core finds (WCAG 2.2 AA, %s)',
    async (colorScheme) => {
      const { page } = await openFile(browser, file, { colorScheme })
      await page.evaluate(AXE)
      const faults = await page.evaluate<string[]>(
        `axe.run(document, { runOnly: ${JSON.stringify(WCAG)} }).then((r) => r.violations.map((v) => v.id + ': ' + v.nodes.length + ' × ' + v.nodes[0].html.slice(0, 120)))`,
      )
      expect(faults).toEqual([])
      await page.context().close()
    },
  )
})
