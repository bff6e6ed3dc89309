import { mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { waneline } from '../notebook/command.ts'
import { accessibilityFaults } from './accessibility.ts'
import { launchBrowser, openFile, sidewaysScroll } from './browser.ts'
import { expectWholeOnPaper, PAPERS } from './paper.ts'

const ROOT = join(import.meta.dirname, '..', '..')

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
    [640, 'dark'],
    [390, 'light'],
    [320, 'dark'],
  ] as const)(
    'opens at %i px, %s, without a complaint, a request or a sideways scroll',
    async (width, colorScheme) => {
      const { page, complaints, requests } = await openFile(browser, file, { width, colorScheme })
      expect([complaints, requests, await sidewaysScroll(page)]).toEqual([[], [], 0])
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

  it.each(PAPERS)('prints on %s with no figure across two pages', async (_, ...size) => {
    await expectWholeOnPaper(browser, file, size)
  })

  it('prints every client of the list, folded or not, with scripts or without', async () => {
    for (const javaScriptEnabled of [true, false]) {
      const { page } = await openFile(browser, file, { javaScriptEnabled })
      await page.emulateMedia({ media: 'print' })
      const listed = page.locator('section.group ol.entries > li')
      const high = await listed.evaluateAll(
        (all) => all.filter((li) => li.getBoundingClientRect().height > 0).length,
      )
      expect(high).toBe(await listed.count())
      await page.context().close()
    }
  })

  it('shows every entry of its contents whole, on a desk', async () => {
    const { page } = await openFile(browser, file, { width: 1280 })
    const [right, ...entries] = await page.evaluate<number[]>(
      "[document.querySelector('nav .links'), ...document.querySelectorAll('nav .links a')].map((e) => e.getBoundingClientRect().right)",
    )
    expect(entries.length).toBeGreaterThan(5)
    for (const entry of entries) expect(entry).toBeLessThanOrEqual(right!)
    await page.context().close()
  })

  it('can be read with scripts off', async () => {
    const { page, complaints } = await openFile(browser, file, { javaScriptEnabled: false })
    expect(await page.locator('h2').count()).toBeGreaterThan(5)
    expect(await page.locator('figure svg').first().isVisible()).toBe(true)
    expect(complaints).toEqual([])
    await page.context().close()
  })

  it('answers who needs us, and why, on the first screen of a phone too', async () => {
    const { page } = await openFile(browser, file, { width: 390, height: 844 })
    const why = await page.locator('ol.entries > li.urgent .why').first().boundingBox()
    expect(why!.y + why!.height).toBeLessThan(844)
    await page.context().close()
  })

  it('shows of every reason the first few, in its order, and leads from a client to the evidence', async () => {
    const { page } = await openFile(browser, file)
    const counts = (await page.locator('section.group .count').allTextContents()).map(Number)
    const listed = await page
      .locator('section.group')
      .evaluateAll((groups) => groups.map((g) => g.querySelectorAll('ol.entries > li').length))
    expect(listed).toEqual(counts)
    expect(await page.locator('section.group ol.entries > li:visible').count()).toBeLessThan(30)
    const client = page.locator('section.group li .who a').first()
    const id = await client.textContent()
    await client.click()
    await expect.poll(() => page.locator('tr.here').isVisible()).toBe(true)
    expect(await page.locator('tr.here td').first().textContent()).toBe(id)
    await page.context().close()
  })

  it('narrowed to a site shows that site’s own figures, as the measures give them for its records', async () => {
    const { page } = await openFile(browser, file)
    await page.locator('details.filters summary').click()
    await page.getByLabel('Site', { exact: true }).selectOption('Heron')
    await expect.poll(() => page.locator('.variants').getAttribute('data-part')).toMatch(/^\d+$/)
    // The table by site, which another measure made, has the same share.
    const shown = await page.locator('.variants .tile').first().textContent()
    const row = await page
      .locator('tr', { hasText: /^Heron/ })
      .first()
      .locator('td')
      .last()
      .textContent()
    const [, improved, of] = /^(\d+) of (\d+)$/.exec(row ?? '') ?? []
    expect(shown).toContain(`${improved} of ${of} series that could`)
    // Printed so, it says what it was narrowed to, and its drawings are large enough to read.
    await page.emulateMedia({ media: 'print' })
    expect(await page.locator('.narrowed').isVisible()).toBe(true)
    expect(await page.locator('.narrowed').textContent()).toContain('Heron')
    await page.locator('.drawing.unborn .live svg').first().waitFor()
    const scale = await page.evaluate<number>(
      "(([b, box]) => b.width / box.width)([...document.querySelectorAll('.drawing.unborn .live svg')].map((s) => [s.getBoundingClientRect(), s.viewBox.baseVal])[0])",
    )
    // Letters of 9 points, as drawn, are at least 5.4 high.
    expect(scale).toBeGreaterThan(0.6)
    await page.context().close()
  })

  it('can be used by the keyboard alone: every control is reached, in order, and seen', async () => {
    const { page } = await openFile(browser, file)
    await page.emulateMedia({ reducedMotion: 'reduce' })
    await page.keyboard.press('Tab')
    expect(await page.evaluate<string>('document.activeElement.className')).toBe('skip')
    const seen: string[] = []
    for (let i = 0; i < 60; i++) {
      await page.keyboard.press('Tab')
      seen.push(
        await page.evaluate<string>(
          `(() => { const e = document.activeElement, r = e.getBoundingClientRect(), bar = document.querySelector('nav.contents').getBoundingClientRect()
            const hidden = r.bottom < 0 || r.top > innerHeight || (!e.closest('nav') && getComputedStyle(document.querySelector('nav.contents')).position === 'sticky' && r.bottom <= bar.bottom && bar.top <= 0)
            return e.tagName + (hidden ? ' out of sight: ' + e.textContent.slice(0, 40) : '') })()`,
        ),
      )
    }
    expect(seen.filter((s) => s.includes('out of sight'))).toEqual([])
    for (const kind of ['A', 'BUTTON', 'SUMMARY', 'INPUT']) expect(seen).toContain(kind)
    await page.context().close()
  })

  it.each([
    ['light', 1280],
    ['dark', 1280],
    ['light', 640],
  ] as const)(
    'narrowed, its folds open and charts alive, has no fault that axe-core finds (WCAG 2.2 AA, %s, %i px)',
    async (colorScheme, width) => {
      const { page, complaints } = await openFile(browser, file, { colorScheme, width })
      await page.locator('details.filters summary').click()
      await page.getByLabel('Site', { exact: true }).selectOption('Heron')
      await page.locator('.narrowed:not([hidden])').waitFor()
      for (const figure of await page.locator('figure:visible').all()) {
        const explore = figure.getByRole('button', { name: /^Explore/ })
        if ((await explore.count()) === 0 || (await explore.getAttribute('aria-pressed')) === 'true') continue
        await explore.click()
        await figure.locator('.live svg').waitFor()
      }
      await page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
      expect(await sidewaysScroll(page)).toBe(0)
      expect(await accessibilityFaults(page)).toEqual([])
      expect(complaints).toEqual([])
      await page.context().close()
    },
  )
})
