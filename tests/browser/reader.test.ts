import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type Block, choice, entries, filters, grid, markdown, table } from '../../src/notebook/blocks.ts'
import { pageHtml } from '../../src/notebook/html/page.ts'
import { GALLERY } from '../charts/gallery.ts'
import { madePage } from '../notebook/made-page.ts'
import { launchBrowser, openFile } from './browser.ts'

const CLIENTS = Array.from({ length: 16 }, (_, i) => ({
  client: `SM-${i}`,
  done: i / 16,
  target: 'Moro',
  side: 'midline',
  when: '30 Jun 2026',
  note: 'seen at home',
}))
const chart = (name: string): Block => ({ kind: 'chart', chart: GALLERY[name]! })
const BLOCKS: readonly Block[] = [
  markdown('# Readers\n\nAll of them.\n\n## Who'),
  filters([{ name: 'Site', values: ['Heron', 'Curlew'] }]),
  entries(
    '',
    [{ title: 'SM-1', lead: 'look', flag: 'Today', tone: 'urgent', facets: { Site: 'Heron' } }],
    3,
    [{ flag: 'Today', note: 'today', shown: 3 }],
  ),
  choice('Part', [
    { label: 'All', show: ['Everyone.'] },
    { label: 'Heron', show: ['Heron.'] },
  ]),
  markdown('## Charts'),
  grid(GALLERY.flow!, GALLERY['adherence-by-week']!),
  chart('client-timeline'),
  markdown('## Table'),
  table(CLIENTS, {
    caption: 'Clients',
    columns: ['client', 'target', 'side', 'when', 'note', { field: 'done', format: 'percent' }],
  }),
]

const file = join(mkdtempSync(join(tmpdir(), 'waneline-reader-')), 'page.html')
let browser: Browser
beforeAll(async () => {
  writeFileSync(file, await pageHtml(madePage('Readers', BLOCKS), { code: true }))
  browser = await launchBrowser()
})
afterAll(() => browser?.close())

/** What has the focus: its name, whether its outline is seen, and whether it lies on the screen, clear of what sticks. */
const focused = (page: Page): Promise<{ name: string; outlined: boolean; onScreen: boolean }> =>
  page.evaluate(`(() => {
    const e = document.activeElement, s = getComputedStyle(e), sign = e.matches('input[type=radio]') ? getComputedStyle(e.nextElementSibling) : s
    const r = (e.matches('input[type=radio]') ? e.nextElementSibling : e).getBoundingClientRect()
    const bar = document.querySelector('nav.contents'), under = getComputedStyle(bar).position === 'sticky' && !bar.contains(e) && !e.matches('.skip') ? bar.getBoundingClientRect().bottom : 0
    return { name: e.tagName + ' ' + (e.textContent || e.id).trim().slice(0, 30), outlined: sign.outlineStyle !== 'none' && parseFloat(sign.outlineWidth) >= 2, onScreen: r.bottom > under && r.top < innerHeight }
  })()`)

const overflow = (page: Page): Promise<number> =>
  page.evaluate<number>('document.documentElement.scrollWidth - document.documentElement.clientWidth')

describe('a page for every reader', () => {
  // A desk of 1280 × 900 pixels at 200 % and 400 % has 640 × 450 and 320 × 225 (WCAG 2.2, criteria 1.4.4 and 1.4.10).
  it.each([
    [100, 1280, 900],
    [200, 640, 450],
    [400, 320, 225],
  ])('shows at %i %% what the keyboard is at, and nothing beside the screen', async (_, width, height) => {
    const { page } = await openFile(browser, file, { width, height })
    await page.emulateMedia({ reducedMotion: 'reduce' })
    expect(await overflow(page)).toBe(0)
    const seen: { name: string; outlined: boolean; onScreen: boolean }[] = []
    for (let i = 0; i < 60; i++) {
      await page.keyboard.press('Tab')
      if (await page.evaluate<boolean>('document.activeElement === document.body')) break
      seen.push(await focused(page))
    }
    expect(seen.length).toBeGreaterThan(15)
    expect(seen.filter((s) => !s.outlined || !s.onScreen)).toEqual([])
    await page.context().close()
  })

  it('leaves half the screen to the content at 400 %', async () => {
    const { page } = await openFile(browser, file, { width: 320, height: 225 })
    await page.locator('details.filters summary').click()
    await page.getByLabel('Site', { exact: true }).selectOption('Heron')
    await page.locator('.narrowed:not([hidden])').waitFor()
    await page.evaluate("document.querySelector('figure').scrollIntoView({ behavior: 'instant' })")
    const bar = await page.locator('nav.contents').evaluate((e) => e.getBoundingClientRect().bottom)
    expect(bar).toBeLessThan(225 / 2)
    await page.context().close()
  })

  it('moves nothing by itself for who wants no motion', async () => {
    const { page } = await openFile(browser, file)
    for (const [reducedMotion, behaviour] of [
      ['reduce', 'auto'],
      ['no-preference', 'smooth'],
    ] as const) {
      await page.emulateMedia({ reducedMotion })
      expect(await page.evaluate('getComputedStyle(document.documentElement).scrollBehavior')).toBe(behaviour)
    }
    const moving = await page.evaluate<number>(
      "[...document.querySelectorAll('*')].filter((e) => getComputedStyle(e).animationName !== 'none' || parseFloat(getComputedStyle(e).transitionDuration) > 0).length",
    )
    expect(moving).toBe(0)
    await page.context().close()
  })

  it('says in colours of the reader’s own what is chosen, and draws axes in them', async () => {
    const { page } = await openFile(browser, file)
    await page.emulateMedia({ forcedColors: 'active' })
    const colours = await page.evaluate<string[]>(
      `[...document.querySelectorAll('fieldset.choice label')].map((e) => getComputedStyle(e).backgroundColor)`,
    )
    expect(colours).toHaveLength(2)
    expect(colours[0]).not.toBe(colours[1])
    const [axis, text] = await page.evaluate<string[]>(
      "[document.querySelector('figure svg .role-axis-label text'), document.body].map((e) => getComputedStyle(e)).map((s, i) => (i ? s.color : s.fill))",
    )
    expect(axis).toBe(text)
    await page.context().close()
  })

  it('gives a finger 44 pixels for what opens, narrows and explores (WCAG 2.2, criterion 2.5.5)', async () => {
    const context = await browser.newContext({
      viewport: { width: 390, height: 844 },
      hasTouch: true,
      isMobile: true,
    })
    const page = await context.newPage()
    await page.goto(`file://${file}`)
    expect(await page.evaluate("matchMedia('(pointer: coarse)').matches")).toBe(true)
    const low = await page.evaluate<string[]>(
      "[...document.querySelectorAll('summary, button, select, input[type=search], nav.contents a, ul.reasons a, fieldset.choice label')].filter((e) => e.offsetParent && e.getBoundingClientRect().height < 43.5).map((e) => e.outerHTML.slice(0, 80))",
    )
    expect(low).toEqual([])
    await context.close()
  })

  it('keeps the name of a row in sight while the others pass, on a phone', async () => {
    const { page } = await openFile(browser, file, { width: 390, height: 844 })
    const scroll = page.locator('.tablebox[data-search] .scroll').last()
    const first = scroll.locator('tbody td').first()
    const was = (await first.boundingBox())!.x
    const moved = await scroll.evaluate((e) => {
      e.scrollLeft = 200
      return e.scrollLeft
    })
    expect(moved).toBeGreaterThan(50)
    expect((await first.boundingBox())!.x).toBeCloseTo(was, 0)
    await page.context().close()
  })

  it('speaks of each chart its finding, its numbers, and no picture within the picture', async () => {
    const { page } = await openFile(browser, file)
    for (const figure of await page.locator('figure').all()) {
      const picture = figure.locator('svg[role=img]:visible')
      const title = await figure.locator('.finding').textContent()
      const ids = ((await picture.getAttribute('aria-labelledby')) ?? '').split(' ')
      const [name, description] = await Promise.all(
        ids.map((id) => page.locator(`[id="${id}"]`).textContent()),
      )
      expect(name!.replaceAll('\u00a0', ' ')).toBe(title!.replaceAll('\u00a0', ' '))
      expect(description).toMatch(/\d/)
      expect(description!.length).toBeGreaterThan(60)
      expect(description).not.toBe(name)
    }
    await page.context().close()
  })
})
