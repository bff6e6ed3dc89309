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

describe('the case presentation of a demo client, in a real browser', () => {
  const out = mkdtempSync(join(tmpdir(), 'waneline-case-'))
  const file = join(out, 'case-presentation.html')
  let browser: Browser

  beforeAll(async () => {
    const demo = ['--data', 'datasets/saltmarsh', '--as-of', '2026-06-30', '--client', 'SM-2384']
    const ended = await waneline(
      ['run', 'notebooks/case-presentation.ts', ...demo, '--out', out, '--no-check'],
      { cwd: ROOT },
    )
    expect(ended.err).toBe('')
    browser = await launchBrowser()
  })
  afterAll(() => browser.close())

  it.each(['light', 'dark'] as const)('breaks no rule of WCAG 2.2 AA, %s', async (colorScheme) => {
    const { page, complaints, requests } = await openFile(browser, file, { colorScheme })
    expect(await accessibilityFaults(page)).toEqual([])
    expect(complaints).toEqual([])
    expect(requests).toEqual([])
    await page.context().close()
  })

  // 640 CSS pixels are a desk of 1280 at 200 %.
  it.each([640, 320])('has no sideways scroll at %i px', async (width) => {
    const { page } = await openFile(browser, file, { width })
    expect(await sidewaysScroll(page)).toBe(0)
    await page.context().close()
  })

  it.each([
    [1280, 720],
    [1024, 768],
  ])('runs as slides by the keyboard, each whole on a screen of %i × %i', async (width, height) => {
    const { page } = await openFile(browser, file, { width, height })
    await page.locator('nav.contents button', { hasText: 'Slides' }).press('Enter')
    const last = Number(/of (\d+)/.exec((await page.locator('#deck span').textContent()) ?? '')?.[1])
    expect(last).toBeGreaterThan(9)
    const cut: string[] = []
    for (let n = 1; n <= last; n++) {
      const said = (await page.locator('#deck span').textContent()) ?? ''
      expect(said).toContain(`Slide ${n} of ${last}`)
      const [lowest, widest, bar] = await page.evaluate<[number, number, number]>(`(() => {
        const seen = [...document.querySelectorAll('main > *, main svg, main table')].filter((e) => e.offsetParent || e.getBoundingClientRect().height)
        const boxes = seen.map((e) => e.getBoundingClientRect())
        return [Math.max(0, ...boxes.map((b) => b.bottom)), document.documentElement.scrollWidth, document.querySelector('#deck').getBoundingClientRect().top]
      })()`)
      if (lowest > bar + 1 || widest > width) cut.push(`${said}: ${Math.round(lowest)} of ${Math.round(bar)}`)
      await page.keyboard.press('ArrowRight')
    }
    expect(cut).toEqual([])
    await page.context().close()
  })

  it.each(PAPERS)('prints on %s with no figure across two pages', async (_, ...size) => {
    await expectWholeOnPaper(browser, file, size)
  })
})
