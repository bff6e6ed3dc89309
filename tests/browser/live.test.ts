import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser, Locator, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { adherenceByWeekChart, reactionsByStimulusChart } from '../../src/charts/index.ts'
import type { Block } from '../../src/notebook/blocks.ts'
import { grid, markdown } from '../../src/notebook/blocks.ts'
import { pageHtml } from '../../src/notebook/html/page.ts'
import { madePage } from '../notebook/made-page.ts'
import { accessibilityFaults } from './accessibility.ts'
import { launchBrowser, openFile, sidewaysScroll } from './browser.ts'

/** 20 weeks from Monday, 6 October 2025, by hand: 2025-10-06 is day 20,367 since 1970-01-01. */
const MONDAY = 20_367
const weeks = Array.from({ length: 20 }, (_, i) => ({
  monday: MONDAY + 7 * i,
  lines: 10 + i,
  doseFraction: { asLogged: 0.5, loggedDaysOnly: 0.75 },
}))
const BLOCKS: readonly Block[] = [
  markdown('# Live\n\nCharts.\n\n## Weeks'),
  { kind: 'chart', chart: adherenceByWeekChart(weeks) },
  { kind: 'chart', chart: adherenceByWeekChart(weeks.slice(4)) },
  markdown('## Others'),
  grid(
    reactionsByStimulusChart([
      { stimulus: 'brush', asked: 1000, reactions: 5, rate: 5, lower: 2, upper: 11 },
      { stimulus: 'vibration', asked: 400, reactions: 9, rate: 22.5, lower: 11, upper: 42 },
    ]),
  ),
]

const page = (live?: boolean): Promise<string> =>
  pageHtml(madePage('Live', BLOCKS), { code: true, ...(live === undefined ? {} : { live }) })

const folder = mkdtempSync(join(tmpdir(), 'waneline-live-'))
const file = join(folder, 'live.html')
let browser: Browser
beforeAll(async () => {
  writeFileSync(file, await page())
  browser = await launchBrowser()
})
afterAll(() => browser?.close())

async function explored(at: Page, n = 0): Promise<Locator> {
  const figure = at.locator('figure').nth(n)
  await figure.getByRole('button', { name: /^Explore/ }).click()
  await figure.locator('.live svg').waitFor()
  return figure
}
const tipLines = (at: Page): Promise<string[]> => at.locator('#tip > div').allTextContents()
const shownRows = (figure: Locator): Promise<number> =>
  figure.locator('tbody tr').evaluateAll((rows) => rows.filter((r) => !r.hasAttribute('hidden')).length)

describe('a page of live charts', () => {
  it('is the same bytes each time, allows its scripts by their hashes and nothing else, and can be had without', async () => {
    const html = readFileSync(file, 'utf8')
    expect(await page()).toBe(html)
    const policy = /Content-Security-Policy" content="([^"]*)"/.exec(html)![1]!
    expect(policy).not.toMatch(/unsafe|https?:|\*/)
    expect(policy).toMatch(/script-src( 'sha256-[\w+/=]+'){2};/)
    const still = await page(false)
    expect(still).not.toContain('id="runtime"')
    expect(html.length - still.length).toBeLessThan(300_000)
  })

  it('comes alive when asked, under its policy, where the still picture was, and says each record', async () => {
    const { page: at, complaints, requests } = await openFile(browser, file)
    const before = await at.locator('figure .wide svg').first().boundingBox()
    const figure = await explored(at)
    const after = await figure.locator('.live svg').boundingBox()
    expect([after!.width, after!.height]).toEqual([before!.width, before!.height])
    expect(await figure.locator('.wide').isVisible()).toBe(false)
    await at.keyboard.press('End')
    // The last week by hand: 19 weeks after 6 October 2025 is 16 February 2026; 29 lines.
    expect(await tipLines(at)).toEqual([
      'Week of: 16 Feb 2026',
      expect.stringMatching(/^Reading: (as logged|logged days only)$/),
      expect.stringMatching(/^Share: (50|75)%$/),
      'Programme lines: 29',
    ])
    expect(await figure.locator('.live [role=status]').textContent()).toContain('Week of: 16 Feb 2026')
    await at.keyboard.press('Escape')
    expect(await at.locator('#tip').isVisible()).toBe(false)
    const mark = await figure.locator('.live path[d][fill="#0072B2"]').last().boundingBox()
    await at.mouse.move(mark!.x + mark!.width / 2, mark!.y + mark!.height / 2)
    expect(await tipLines(at)).toEqual([
      'Week of: 16 Feb 2026',
      'Reading: as logged',
      'Share: 50%',
      'Programme lines: 29',
    ])
    await figure.getByRole('button', { name: /^Explore/ }).click()
    await expect.poll(() => figure.locator('.wide').isVisible()).toBe(true)
    expect([complaints, requests]).toEqual([[], []])
    await at.context().close()
  })

  it('comes alive under a resting mouse', async () => {
    const { page: at } = await openFile(browser, file)
    await at.locator('figure .drawing').first().hover()
    await at.locator('figure .live svg').first().waitFor()
    await at.context().close()
  })

  it('takes a span of time by dragging: in words, in the address, on every calendar chart and the tables behind', async () => {
    const { page: at, complaints } = await openFile(browser, file)
    const figure = await explored(at)
    expect(await shownRows(figure)).toBe(40)
    const plot = await figure.locator('.live .background').first().boundingBox()
    const y = plot!.y + plot!.height / 2
    // 19 weeks lie across the plot: the middle third is about 6.3 of them.
    await at.mouse.move(plot!.x + plot!.width / 3, y)
    await at.mouse.down()
    await at.mouse.move(plot!.x + plot!.width / 2, y, { steps: 3 })
    await at.mouse.move(plot!.x + (2 * plot!.width) / 3, y, { steps: 3 })
    await at.mouse.up()
    // A third of 133 days is 44.33: day 44 after 6 October 2025 is 19 November; two thirds, 88.67, is 2 January.
    await expect
      .poll(() => figure.locator('.span [role=status]').textContent())
      .toBe('19 Nov 2025 to 2 Jan 2026 (45 days)')
    expect(new URL(at.url()).hash).toBe('#?span=2025-11-19..2026-01-02')
    // Mondays within: 24 Nov, 1, 8, 15, 22, 29 Dec; two readings each.
    expect(await shownRows(figure)).toBe(12)
    const other = at.locator('figure').nth(1)
    await other.locator('.live svg').waitFor()
    expect(await other.locator('.span [role=status]').textContent()).toBe(
      '19 Nov 2025 to 2 Jan 2026 (45 days)',
    )
    await figure.getByRole('button', { name: 'All dates' }).click()
    await expect.poll(() => shownRows(other)).toBe(32)
    expect(new URL(at.url()).hash).toBe('')
    expect(complaints).toEqual([])
    await at.context().close()
  })

  it('takes a span by two dates from the keyboard, and from a link', async () => {
    const { page: at } = await openFile(browser, file)
    const figure = await explored(at)
    await figure.getByLabel('From', { exact: true }).fill('2025-12-01')
    await figure.getByLabel('to', { exact: true }).fill('2025-12-14')
    await expect
      .poll(() => figure.locator('.span [role=status]').textContent())
      .toBe('1 Dec 2025 to 14 Dec 2025 (14 days)')
    const link = at.url()
    await at.goto('about:blank')
    await at.goto(link)
    await at.locator('figure .span [role=status]').first().waitFor()
    expect(await shownRows(at.locator('figure').first())).toBe(4)
    await at.context().close()
  })

  it('prints the still picture', async () => {
    const { page: at } = await openFile(browser, file)
    const figure = await explored(at)
    await at.emulateMedia({ media: 'print' })
    expect([
      await figure.locator('.live').isVisible(),
      await figure.locator('.wide').isVisible(),
      await figure.locator('.explore').first().isVisible(),
    ]).toEqual([false, true, false])
    await at.context().close()
  })

  it.each([
    ['light', 1280],
    ['dark', 1280],
    ['light', 640],
    ['dark', 390],
  ] as const)(
    'alive meets WCAG 2.2 AA by axe-core, %s at %i px, nothing beside the screen',
    async (colorScheme, width) => {
      const { page: at, complaints } = await openFile(browser, file, { colorScheme, width })
      for (const n of [0, 1, 2]) await explored(at, n)
      expect(await accessibilityFaults(at)).toEqual([])
      expect(await sidewaysScroll(at)).toBe(0)
      expect(complaints).toEqual([])
      await at.context().close()
    },
  )
})
