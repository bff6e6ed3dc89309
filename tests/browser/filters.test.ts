import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { adherenceByWeekChart } from '../../src/charts/index.ts'
import {
  type Block,
  entries,
  figures,
  filters,
  folded,
  markdown,
  notice,
  table,
  variants,
} from '../../src/notebook/blocks.ts'
import { pageHtml } from '../../src/notebook/html/page.ts'
import { madePage } from '../notebook/made-page.ts'
import { launchBrowser, openFile } from './browser.ts'

const SITES = ['Heron', 'Curlew', 'Plover']
const REFLEXES = ['Moro', 'Snout']
const CLIENTS = Array.from({ length: 30 }, (_, i) => ({
  id: `SM-${i}`,
  site: SITES[i % 3]!,
  reflexes: i % 2 ? ['Moro'] : ['Moro', 'Snout'],
  flag: i < 4 ? 'Today' : 'Stuck',
}))
/** By hand: 10 clients at each site; SM-0, SM-3, SM-6 … at Heron, of which SM-0, SM-6, SM-12, SM-18 and SM-24 have a snout reflex. */
const weeks = (share: number) =>
  Array.from({ length: 6 }, (_, i) => ({
    monday: 20_367 + 7 * i,
    lines: 3,
    doseFraction: { asLogged: share, loggedDaysOnly: share },
  }))
const SERIES = Array.from({ length: 1200 }, (_, i) => ({
  id: i === 1100 ? 'series-of-SM-20' : '',
  client: CLIENTS[i % 30]!.id,
  score: (i * 7) % 5,
  number: i,
  site: CLIENTS[i % 30]!.site,
}))

const BLOCKS: readonly Block[] = [
  markdown('# Filters\n\nAll of it.\n\n## Who'),
  notice('urgent', '4 today', 'They are named below.'),
  filters([
    { name: 'Site', values: SITES },
    { name: 'Reflex', values: REFLEXES },
  ]),
  entries(
    '',
    CLIENTS.map((c) => ({
      title: c.id,
      lead: `seen at ${c.site}`,
      flag: c.flag,
      tone: c.flag === 'Today' ? ('urgent' as const) : ('plain' as const),
      id: `client-${c.id}`,
      href: '#series-of-SM-20',
      facets: { Site: c.site, Reflex: c.reflexes },
    })),
    3,
    [
      { flag: 'Today', note: 'look today', shown: 8 },
      { flag: 'Stuck', note: 'no change', shown: 3 },
    ],
  ),
  markdown('## Figures'),
  variants(
    [figures([{ label: 'Clients', value: '30' }]), adherenceByWeekChart(weeks(0.5))],
    SITES.map((site) => ({
      part: { name: 'Site', value: site },
      show: [figures([{ label: 'Clients', value: `10 at ${site}` }]), adherenceByWeekChart(weeks(0.25))],
    })),
  ),
  figures([{ label: 'Raters', value: '4' }]),
  markdown('## Series'),
  table(
    SITES.map((site) => ({ site, clients: 10 })),
    { facets: (row) => ({ Site: String(row.site) }) },
  ),
  folded(
    'Every series',
    table(SERIES, {
      id: 'id',
      columns: ['client', 'score', 'number'],
      facets: (row) => ({ Site: String(row.site) }),
    }),
  ),
]

const folder = mkdtempSync(join(tmpdir(), 'waneline-filters-'))
const file = join(folder, 'filters.html')
let browser: Browser
let html: string
beforeAll(async () => {
  html = await pageHtml(madePage('Filters', BLOCKS), { code: false })
  writeFileSync(file, html)
  browser = await launchBrowser()
})
afterAll(() => browser?.close())

/** Entries that a filter or search leaves, in or out of a fold. */
const left = (page: Page): Promise<number> =>
  page.locator('ol.entries > li').evaluateAll((all) => all.filter((e) => !e.hasAttribute('hidden')).length)
const choose = async (page: Page, name: string, value: string): Promise<void> => {
  const fold = page.locator('details.filters')
  if (!(await fold.getAttribute('open').then((o) => o !== null))) await fold.locator('summary').click()
  await page.getByLabel(name, { exact: true }).selectOption(value)
}
const tile = (page: Page): Promise<string | null> => page.locator('.variants .tile .value').textContent()

describe('the filter bar', () => {
  it('narrows entries, tables and worked-out parts together, says what does not follow, and undoes it', async () => {
    const { page, complaints, requests } = await openFile(browser, file)
    await choose(page, 'Site', 'Heron')
    await expect.poll(() => left(page)).toBe(10)
    expect(await tile(page)).toBe('10 at Heron')
    expect(await page.locator('.variants h3').textContent()).toMatch(/between 25\s% and 25\s%/)
    expect(await page.locator('main > .tablebox tbody tr:visible').allTextContents()).toEqual(['Heron10'])
    expect(await page.locator('section.group .count').allTextContents()).toEqual(['2 of 4', '8 of 26'])
    expect(await page.locator('ul.reasons a').allTextContents()).toEqual(['Today 2', 'Stuck 8'])
    // The notice and the tile of raters are all that does not follow.
    expect(await page.locator('p.whole').allTextContents()).toEqual([
      'The whole caseload, not narrowed.',
      'The whole caseload, not narrowed.',
    ])
    expect(await page.locator('.notice.urgent').textContent()).toContain('not narrowed')
    await choose(page, 'Reflex', 'Snout')
    await expect.poll(() => left(page)).toBe(5)
    expect(await tile(page)).toBe('30')
    expect(await page.locator('.variants p.whole').textContent()).toBe(
      'The whole caseload, not narrowed: these figures are worked out for one choice at a time.Only site Heron',
    )
    // By hand: of the four of today, SM-0 to SM-3, only SM-0 is at Heron with a snout reflex.
    expect(await page.locator('.narrowed [role=status]').textContent()).toBe(
      'Narrowed to site Heron and reflex Snout; 3 of 4 urgent entries hidden',
    )
    expect(new URL(page.url()).hash).toBe('#?Site=Heron&Reflex=Snout')
    await page.getByRole('button', { name: 'Only site Heron' }).click()
    await expect.poll(() => left(page)).toBe(10)
    expect(await tile(page)).toBe('10 at Heron')
    expect(await page.evaluate('document.activeElement.dataset.name')).toBe('Site')
    await page.getByRole('button', { name: 'Show everything' }).click()
    await expect.poll(() => left(page)).toBe(30)
    expect([await tile(page), await page.locator('p.whole').count(), new URL(page.url()).hash]).toEqual([
      '30',
      0,
      '',
    ])
    expect([complaints, requests]).toEqual([[], []])
    await page.context().close()
  })

  it('stands in the address, so that a link brings another reader to the same view and place', async () => {
    const { page } = await openFile(browser, file)
    await choose(page, 'Site', 'Curlew')
    await expect.poll(() => left(page)).toBe(10)
    await page.locator('#client-SM-1 a').click()
    expect(new URL(page.url()).hash).toBe('#?Site=Curlew&to=series-of-SM-20')
    const link = page.url()
    await page.goto('about:blank')
    await page.goto(link)
    await expect.poll(() => left(page)).toBe(10)
    await expect.poll(() => page.locator('tr.here').isVisible()).toBe(true)
    expect(await page.locator('tr.here').textContent()).toContain('SM-20')
    await page.goto('about:blank')
    // What no filter knows is nothing.
    await page.goto(link.replace('Curlew', '%3Cscript%3E').replace('series-of', '%E0%A4%A'))
    expect(await left(page)).toBe(30)
    await page.context().close()
  })

  it('keeps a large table short until asked: searched, sorted, filtered whole, a hundred rows at a time', async () => {
    const { page, complaints } = await openFile(browser, file)
    await page.getByText('Every series').click()
    const box = page.locator('.tablebox:has(script.rows)')
    const rows = box.locator('tbody tr')
    expect(await rows.count()).toBe(60)
    await box.getByRole('button', { name: 'Number' }).click()
    await box.getByRole('button', { name: 'Number' }).click()
    await expect.poll(() => rows.first().textContent()).toMatch(/1199$/)
    expect(await rows.count()).toBe(100)
    await box.getByRole('button', { name: 'Show 100 more' }).click()
    await expect.poll(() => rows.count()).toBe(200)
    await box.getByRole('searchbox').fill('SM-29')
    await expect.poll(() => box.getByRole('status').textContent()).toBe('40 of 1200 rows')
    expect(await rows.count()).toBe(40)
    await box.getByRole('searchbox').fill('')
    await choose(page, 'Site', 'Plover')
    await expect
      .poll(() => box.getByRole('status').textContent())
      .toBe('400 of 1200 rows, the first 100 shown')
    expect(complaints).toEqual([])
    await page.context().close()
  })

  it('searches the list by words, opening the folds that hold a match, and closing them again', async () => {
    const { page } = await openFile(browser, file)
    const search = page.locator('.entriesbox').getByRole('searchbox')
    await search.fill('sm-27')
    expect(await page.locator('#client-SM-27').isVisible()).toBe(true)
    expect(await page.locator('ol.entries > li:visible').count()).toBe(1)
    await search.fill('')
    expect(await page.locator('#client-SM-27').isVisible()).toBe(false)
    expect(await page.locator('ol.entries > li:visible').count()).toBe(7)
    await page.context().close()
  })

  it('shows everything with scripts off, and no bar', async () => {
    const { page } = await openFile(browser, file, { javaScriptEnabled: false })
    expect(await page.locator('details.filters').isVisible()).toBe(false)
    expect(await tile(page)).toBe('30')
    expect(await page.locator('ol.entries > li').count()).toBe(30)
    await page.getByText('Every series').click()
    expect(await page.getByText('The first 60 of 1200 rows.').isVisible()).toBe(true)
    await page.context().close()
  })

  it('is worked by the keyboard alone', async () => {
    const { page } = await openFile(browser, file)
    await page.locator('details.filters summary').focus()
    await page.keyboard.press('Enter')
    await page.keyboard.press('Tab')
    await page.keyboard.press('ArrowDown')
    await expect.poll(() => left(page)).toBe(10)
    expect(await page.locator('.narrowed [role=status]').textContent()).toBe(
      'Narrowed to site Heron; 2 of 4 urgent entries hidden',
    )
    await page.context().close()
  })
})
