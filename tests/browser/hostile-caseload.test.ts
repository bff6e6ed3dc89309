import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { waneline } from '../notebook/command.ts'
import { launchBrowser, openFile } from './browser.ts'
import { HOSTILE } from './hostile-strings.ts'

const ROOT = join(import.meta.dirname, '..', '..')
const folder = mkdtempSync(join(tmpdir(), 'waneline-hostile-caseload-'))
const data = join(folder, 'exports')

/** Texts that can stand in a cell: UTF-8 has no half pairs, and NUL ends a file's claim to be text. */
const TEXTS = HOSTILE.filter((t) => t.trim() !== '' && !/[\uD800-\uDFFF]/u.test(t) && !t.includes('\0'))
const cell = (text: string): string => `"${text.replaceAll('"', '""')}"`
const csv = (rows: readonly (readonly string[])[]): string =>
  `${rows.map((row) => row.map(cell).join(',')).join('\n')}\n`
const day = (n: number): string => new Date(86_400_000 * (20_367 + n)).toISOString().slice(0, 10)

const ids = TEXTS.slice(0, 120)
const sites = TEXTS.slice(120, 126)
const clinicians = TEXTS.slice(126, 146)
const rest = TEXTS.slice(146)
const at = (list: readonly string[], i: number): string => list[i % list.length]!

/** A folder whose every name, note, heading and unreadable value is hostile. */
function write(): void {
  mkdirSync(join(data, "a'b &lt;img src=x onerror=globalThis.ran=1&gt;"), { recursive: true })
  const file = (name: string, rows: readonly (readonly string[])[]): void =>
    writeFileSync(join(data, name), csv(rows))
  file('clients.csv', [
    ['client_id', 'birth_date', 'site', 'clinician', 'group', 'enrolled_on', at(rest, 0)],
    ...ids.map((id, i) => [
      id,
      '2020-03-01',
      at(sites, i),
      at(clinicians, i),
      at(rest, i),
      day(0),
      at(rest, i),
    ]),
  ])
  file('assessments.csv', [
    ['client_id', 'assessed_on', 'reflex', 'side', 'score', 'rater_id'],
    ...ids.flatMap((id, i) => [
      [id, day(0), 'moro', 'midline', '3', at(rest, 2 * i)],
      [id, day(0), 'moro', 'midline', '3', at(rest, 2 * i + 1)],
      [id, day(100), 'moro', 'midline', `${i % 4}`, at(rest, 2 * i)],
      // Values that nobody can read, which the page shows as found.
      [id, day(100), at(rest, 3 * i), at(rest, 3 * i + 1), at(rest, 3 * i + 2), ''],
    ]),
  ])
  file('programmes.csv', [
    ['client_id', 'target', 'side', 'stimulus', 'sessions_per_day', 'reps_per_session', 'starts_on'],
    ...ids.map((id, i) => [id, 'moro', 'midline', i % 2 ? 'electrical' : 'brush', '1', '10', day(1)]),
  ])
  file("a'b &lt;img src=x onerror=globalThis.ran=1&gt;/sessions $(x) #1.csv", [
    ['client_id', 'done_on', 'target', 'side', 'stimulus', 'reps', 'reaction', 'note'],
    ...ids.flatMap((id, i) =>
      [5, 90, 118].map((n, k) => [
        id,
        day(n),
        'moro',
        'midline',
        'brush',
        '10',
        i % 3 === k ? 'seizure' : 'none',
        at(rest, 3 * i + k),
      ]),
    ),
  ])
}

let browser: Browser
beforeAll(async () => {
  write()
  browser = await launchBrowser()
})
afterAll(async () => {
  await browser?.close()
  rmSync(folder, { recursive: true })
})

describe('a caseload whose names, notes, headings and file names are hostile', () => {
  it('comes out of the notebook as a page on which none of them runs or breaks anything', async () => {
    const ended = await waneline(
      [
        'run',
        'notebooks/caseload-review.ts',
        '--data',
        data,
        '--as-of',
        day(120),
        '--out',
        folder,
        '--no-check',
      ],
      { cwd: ROOT },
    )
    expect([ended.code, ended.err]).toEqual([0, ''])
    const file = join(folder, 'caseload-review.html')
    const { page, complaints, requests } = await openFile(browser, file, { width: 390, height: 844 })
    const title = await page.title()
    const state = (): Promise<unknown[]> =>
      page.evaluate<unknown[]>(
        `[globalThis.ran === undefined, document.querySelectorAll('img,iframe,object,embed,form,base,script:not([type]) ~ script').length, document.querySelectorAll('style').length, document.documentElement.scrollWidth <= 390, document.title]`,
      )
    expect(await state()).toEqual([true, 0, 1, true, title])
    expect(await page.locator('ol.entries > li').count()).toBeGreaterThan(50)
    await page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
    for (const figure of await page.locator('figure:visible:has(.drawing)').all()) {
      await figure.getByRole('button', { name: /^Explore/ }).click()
      await figure.locator('.live svg').waitFor()
    }
    for (const select of await page.locator('details.filters select').all())
      await select.selectOption({ index: 1 })
    await page.locator('.narrowed:not([hidden])').waitFor()
    await page.locator('ol.entries:visible > li:visible .who a').first().click()
    expect(await state()).toEqual([true, 0, 1, true, title])
    expect([complaints, requests]).toEqual([[], []])
    await page.context().close()
  }, 180_000)
})
