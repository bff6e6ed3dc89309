import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { release } from '../commands/releaseCommand.ts'
import { accessibilityFaults } from './accessibility.ts'
import { launchBrowser, openFile, sidewaysScroll } from './browser.ts'

const ROOT = join(import.meta.dirname, '..', '..')

interface Report {
  readonly prosecutorRisk: { readonly mean: number; readonly max: number }
  readonly longitudinal: { readonly released: { readonly twoVisitRiskMean: number } }
}

describe('the risk report of the demo clinic, in a real browser', () => {
  const folder = mkdtempSync(join(tmpdir(), 'waneline-risk-'))
  const out = join(folder, 'tables')
  const file = join(out, 'risk-report.html')
  let browser: Browser
  let report: Report

  beforeAll(async () => {
    await release(join(ROOT, 'datasets/saltmarsh'), '--as-of', '2026-06-30', '--out', out)
    report = JSON.parse(readFileSync(join(out, 'risk-report.json'), 'utf8'))
    browser = await launchBrowser()
  })
  afterAll(async () => {
    await browser.close()
    rmSync(folder, { recursive: true, force: true })
  })

  it.each([
    [1280, 'light'],
    [1280, 'dark'],
    [390, 'light'],
    [320, 'dark'],
  ] as const)(
    'at %i px, %s, has no complaint, request, sideways scroll or fault that axe-core finds',
    async (width, colorScheme) => {
      const { page, complaints, requests } = await openFile(browser, file, { width, colorScheme })
      await page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
      expect(await sidewaysScroll(page)).toBe(0)
      expect(await accessibilityFaults(page)).toEqual([])
      expect(complaints).toEqual([])
      expect(requests).toEqual([])
      await page.context().close()
    },
  )

  const percent = (x: number): string => `${(100 * x).toFixed(1)}\u00a0%`

  it.each([
    // On a desk the whole table; on a phone the two likeliest ways, without scrolling.
    [1280, 900, 5],
    [390, 844, 2],
  ])('answers what, by whom and how likely on the first screen of %i × %i', async (width, height, rows) => {
    const { page } = await openFile(browser, file, { width, height })
    const statement = page.getByText('Anonymity is a matter of degree.')
    expect(await statement.textContent()).toMatch(
      /local data-protection law and ethics approval.*No claim of Safe Harbor/s,
    )
    expect((await statement.boundingBox())!.y).toBeLessThan(height / 2)
    const table = page.locator('table').first()
    expect(await table.locator('th').allTextContents()).toEqual([
      'who holds the tables and knows',
      'could find out',
      'how likely',
    ])
    const last = await table
      .locator('tbody tr')
      .nth(rows - 1)
      .boundingBox()
    expect(last!.y + last!.height).toBeLessThan(height)
    const [, row, visits] = await table.locator('tbody tr').allTextContents()
    expect(row).toContain(`${percent(report.prosecutorRisk.mean)} on average`)
    expect(row).toContain(`${percent(report.prosecutorRisk.max)} at most`)
    expect(visits).toContain(percent(report.longitudinal.released.twoVisitRiskMean))
    await page.context().close()
  })

  it('prints with the statement and the answer, and reads with scripts off', async () => {
    const { page, complaints } = await openFile(browser, file, { width: 720, javaScriptEnabled: false })
    await page.emulateMedia({ media: 'print' })
    expect(await page.getByText('Anonymity is a matter of degree.').isVisible()).toBe(true)
    expect(await page.locator('table').first().isVisible()).toBe(true)
    expect(await sidewaysScroll(page)).toBe(0)
    expect(complaints).toEqual([])
    expect((await page.pdf({ format: 'A4' })).length).toBeGreaterThan(10_000)
    await page.context().close()
  })

  it('says what tables it tells of, and claims no Safe Harbor anywhere', async () => {
    const { page } = await openFile(browser, file)
    const text = (await page.locator('body').textContent()) ?? ''
    for (const table of ['people', 'scores', 'adherence', 'reactions', 'outcomes'])
      expect(text).toContain(`${table}.csv`)
    expect([...text.matchAll(/(.{12})Safe Harbor/g)].map((m) => m[1])).toEqual(['No claim of '])
    await page.context().close()
  })
})
