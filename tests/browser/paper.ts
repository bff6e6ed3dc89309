import type { Browser } from 'playwright-core'
import { expect } from 'vitest'
import { openFile } from './browser.ts'

/** Paper in CSS pixels (96 to the inch), less the margins that the page asks for: 16 mm above and below, 14 mm at the sides. */
const MM = 96 / 25.4
export const PAPERS = [
  ['A4', 210 * MM, 297 * MM],
  ['Letter', 8.5 * 96, 11 * 96],
] as const

interface Printed {
  readonly inside: string
  readonly height: number
  readonly right: number
  readonly drawn: number
  /** The smallest scale at which a drawing of the figure stands: 1 is as it was drawn. */
  readonly scale: number
}

/**
 * Lays a page out for paper and finds each figure whole on one sheet, drawn once and large enough to read, and no heading
 * parted from what it heads.
 */
export async function expectWholeOnPaper(
  browser: Browser,
  file: string,
  [paperWidth, paperHeight]: readonly [number, number],
): Promise<void> {
  const width = Math.floor(paperWidth - 28 * MM)
  const { page } = await openFile(browser, file, { width, height: 900 })
  await page.emulateMedia({ media: 'print' })
  const figures = await page.evaluate<
    Printed[]
  >(`[...document.querySelectorAll('figure')].filter((f) => f.offsetHeight).map((f) => {
    const drawings = [...f.querySelectorAll('svg')].map((s) => [s.getBoundingClientRect(), s.viewBox.baseVal]).filter(([b]) => b.height > 0)
    return {
      inside: getComputedStyle(f).breakInside,
      height: f.getBoundingClientRect().height,
      right: Math.max(...drawings.map(([b]) => b.right)),
      drawn: drawings.length,
      scale: Math.min(...drawings.map(([b, box]) => Math.min(b.width / box.width, b.height / box.height))),
    }
  })`)
  expect(figures.length).toBeGreaterThan(4)
  for (const figure of figures) {
    // What must not break and is lower than a page stands on one page.
    expect(figure.inside).toBe('avoid')
    expect(figure.height).toBeLessThan(paperHeight - 32 * MM)
    expect(figure.right).toBeLessThanOrEqual(width + 1)
    expect(figure.drawn).toBe(1)
    // Labels are 12 CSS pixels, 9 points, as drawn: 5.4 points are the smallest that print may use.
    expect(figure.scale).toBeGreaterThan(0.6)
  }
  const headings = await page.evaluate<string[]>(
    "[...document.querySelectorAll('h2, h3, .finding, .who:not(ol .who), caption, section.group .note')].map((h) => getComputedStyle(h).breakAfter)",
  )
  expect(new Set(headings)).toEqual(new Set(['avoid']))
  // Chromium breaks inside grids, and repeats no table heading that holds a button's box.
  const broken = await page.evaluate<string[]>(`[
    ...[...document.querySelectorAll('.grid, ol.entries > li')].map((e) => getComputedStyle(e).display).filter((d) => /grid|flex/.test(d)),
    ...[...document.querySelectorAll('th button')].map((e) => getComputedStyle(e).display).filter((d) => d !== 'contents'),
  ]`)
  expect(broken).toEqual([])
  await page.context().close()
}
