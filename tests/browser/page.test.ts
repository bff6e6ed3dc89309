import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type Chart, chart } from '../../src/charts/index.ts'
import {
  type Block,
  choice,
  entries,
  figures,
  folded,
  grid,
  markdown,
  notice,
  table,
} from '../../src/notebook/blocks.ts'
import { pageHtml } from '../../src/notebook/html/page.ts'
import { madePage } from '../notebook/made-page.ts'
import { accessibilityFaults } from './accessibility.ts'
import { launchBrowser, openFile, sidewaysScroll } from './browser.ts'

const bars = (rows: readonly { readonly name: string; readonly n: number }[]): Chart =>
  chart({
    title: 'Heron has the most clients',
    subtitle: `${rows.length} sites`,
    description: 'Bars of clients by site.',
    shows: 'Clients by site.',
    reading: 'The longer the bar, the more clients.',
    limits: 'It cannot show why.',
    table: {
      columns: [
        { field: 'name', label: 'Site' },
        { field: 'n', label: 'Clients', decimals: 0 },
      ],
      rows,
    },
    build: (width) => ({
      width,
      height: 120,
      data: { values: rows },
      mark: 'bar',
      encoding: {
        y: { field: 'name', type: 'nominal', axis: { title: null } },
        x: { field: 'n', type: 'quantitative', axis: { title: 'Clients' } },
      },
    }),
  })

const SITES = [
  { name: 'Heron', n: 30 },
  { name: 'Curlew', n: 20 },
  { name: 'Plover', n: 12 },
]

const CLIENTS = Array.from({ length: 40 }, (_, i) => ({ client: `SM-${i}`, share: ((i * 7) % 40) / 40 }))
const ONE_OF_EACH: readonly Block[] = [
  markdown('# A page\n\nWith one of everything.'),
  markdown('## Who'),
  notice('urgent', 'Two need a person today', 'They are named below.'),
  entries('Attention', [
    { title: 'SM-1', lead: 'Colour reaction', tone: 'urgent', id: 'sm-1', lines: ['moro'] },
    { title: 'SM-2', lead: 'No diary', href: '#sm-1' },
  ]),
  figures([{ label: 'Clients', value: '62', interval: '60 to 64', note: 'of 70' }]),
  markdown('## Charts'),
  { kind: 'chart', chart: bars(SITES) },
  grid(bars(SITES), 'beside it'),
  markdown('## Tables'),
  table(CLIENTS, {
    caption: 'Clients',
    columns: ['client', { field: 'share', format: 'percent' }],
    id: 'client',
  }),
  choice('Site', [
    { label: 'All', show: ['Everyone together.'] },
    { label: 'Heron', show: ['Heron alone.'] },
  ]),
  folded('More words', 'Inside.'),
  notice('caution', 'What this cannot show', 'A cause.'),
]

let browser: Browser
const folder = mkdtempSync(join(tmpdir(), 'waneline-page-'))
async function written(name: string, blocks: readonly Block[]): Promise<string> {
  const file = join(folder, name)
  writeFileSync(file, await pageHtml(madePage('A page', blocks, "show('<script>')"), { code: true }))
  return file
}
beforeAll(async () => {
  browser = await launchBrowser()
})
afterAll(async () => {
  await browser?.close()
})

describe('a page in the browser', () => {
  it.each([
    ['at a desk', {}],
    ['in the dark', { colorScheme: 'dark' as const }],
    ['on a phone', { width: 390, height: 844 }],
    ['on the smallest phone', { width: 320, height: 640 }],
    ['at 200 % of a small desk', { width: 640, height: 400 }],
    ['with scripts off', { javaScriptEnabled: false }],
  ])('opens %s: no complaint, no request, nothing beside the screen', async (name, options) => {
    const file = await written(`${name}.html`, ONE_OF_EACH)
    const { page, complaints, requests } = await openFile(browser, file, options)
    expect(complaints).toEqual([])
    expect(requests).toEqual([])
    expect(await sidewaysScroll(page)).toBe(0)
    const drawn = await page.locator('figure svg:visible').all()
    expect(drawn.length).toBe(2)
    for (const svg of drawn) expect((await svg.boundingBox())!.width).toBeGreaterThan(200)
    await page.context().close()
  })

  it.each(['light', 'dark'] as const)('meets WCAG 2.2 AA by axe-core (%s)', async (colorScheme) => {
    const file = await written('axe.html', ONE_OF_EACH)
    const { page } = await openFile(browser, file, { colorScheme })
    for (const fold of await page.locator('details > summary').all())
      if (await fold.isVisible()) await fold.click()
    expect(await accessibilityFaults(page)).toEqual([])
    await page.context().close()
  })

  it('sorts and searches a table by keyboard, and follows links into folds', async () => {
    const { page } = await openFile(browser, await written('table.html', ONE_OF_EACH))
    const box = page.locator('.tablebox[data-search]')
    await box.getByRole('button', { name: 'Share' }).focus()
    await page.keyboard.press('Enter')
    expect(await box.locator('tbody tr').first().textContent()).toMatch(/^SM-00 %$/)
    await page.keyboard.press('Enter')
    expect(await box.locator('tbody tr').first().textContent()).toMatch(/98 %$/)
    expect(await box.locator('th').nth(1).getAttribute('aria-sort')).toBe('descending')
    await box.getByRole('searchbox').fill('SM-39')
    expect(await box.locator('tbody tr:visible').count()).toBe(1)
    expect(await box.getByRole('status').textContent()).toBe('1 of 40 rows')
    await page.context().close()
  })

  it('shows one choice at a time, with scripts off too', async () => {
    const { page } = await openFile(browser, await written('choice.html', ONE_OF_EACH), {
      javaScriptEnabled: false,
    })
    expect(await page.getByText('Everyone together.').isVisible()).toBe(true)
    expect(await page.getByText('Heron alone.').isVisible()).toBe(false)
    await page.getByRole('radio', { name: 'Heron' }).focus()
    await page.keyboard.press('Space')
    expect(await page.getByText('Heron alone.').isVisible()).toBe(true)
    expect(await page.getByText('Everyone together.').isVisible()).toBe(false)
    await page.context().close()
  })

  it('runs as slides by the keyboard and comes back', async () => {
    const { page, complaints } = await openFile(browser, await written('slides.html', ONE_OF_EACH))
    await page.getByRole('button', { name: 'Show as slides' }).focus()
    await page.keyboard.press('Enter')
    expect(await page.locator('#deck [role=status]').textContent()).toMatch(/^Slide 1 of \d+: A page$/)
    expect(await page.locator('main h2:visible').count()).toBe(0)
    await page.keyboard.press('ArrowRight')
    expect(await page.locator('main h2:visible').allTextContents()).toEqual(['Who'])
    await page.keyboard.press('ArrowRight')
    expect(await page.locator('main h2:visible').allTextContents()).toEqual(['Charts'])
    expect(await page.locator('figure svg:visible').count()).toBeGreaterThan(0)
    await page.keyboard.press('Escape')
    expect(await page.locator('main h2:visible').count()).toBe(3)
    expect(complaints).toEqual([])
    await page.context().close()
  })

  it('prints no chart taller than a sheet of A4 or Letter, and no controls', async () => {
    const { page } = await openFile(browser, await written('print.html', ONE_OF_EACH), { width: 680 })
    await page.emulateMedia({ media: 'print' })
    // Letter is the shorter: 11 in less two margins of 16 mm, at 96 pixels an inch.
    for (const figure of await page.locator('figure').all())
      expect((await figure.boundingBox())!.height).toBeLessThan(11 * 96 - (2 * 16 * 96) / 25.4)
    expect(await page.locator('nav.contents').isVisible()).toBe(false)
    expect(await page.getByRole('searchbox').isVisible()).toBe(false)
    expect(await sidewaysScroll(page)).toBe(0)
    await page.context().close()
  })
})
