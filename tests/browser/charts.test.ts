import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { drawSvg } from '../../src/notebook/draw.ts'
import { GALLERY } from '../charts/gallery.ts'
import { launchBrowser } from './browser.ts'

/** The letters of pages, at the size of a drawing that is not scaled. */
const STYLE = 'body{margin:0}svg text{font-family:Arial,"Liberation Sans",sans-serif}'

interface Letters {
  readonly text: string
  readonly left: number
  readonly right: number
  readonly top: number
  readonly bottom: number
}

let browser: Browser
beforeAll(async () => {
  browser = await launchBrowser()
})
afterAll(() => browser?.close())

/** Where every text of a drawing stands, as the browser measures it, and the drawing itself. */
async function lettersOf(svg: string): Promise<{ readonly box: Letters; readonly all: readonly Letters[] }> {
  const page = await browser.newPage({ viewport: { width: 800, height: 900 } })
  await page.setContent(`<style>${STYLE}</style>${svg}`)
  const found = await page.evaluate<{ box: Letters; all: Letters[] }>(`(() => {
    const at = (e) => { const { left, right, top, bottom } = e.getBoundingClientRect(); return { text: e.textContent, left, right, top, bottom } }
    return { box: at(document.querySelector('svg')), all: [...document.querySelectorAll('svg text')].filter((e) => e.textContent.trim() && getComputedStyle(e).opacity !== '0').map(at) }
  })()`)
  await page.close()
  return found
}

/** Pixels by which the boxes of two texts may touch: a box is a little larger than its letters. */
const TOUCH = 3
const overlap = (a: Letters, b: Letters): boolean =>
  Math.min(a.right, b.right) - Math.max(a.left, b.left) > TOUCH &&
  Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > TOUCH

describe.each(Object.entries(GALLERY))('the letters of the chart %s', (_, chart) => {
  it.each([
    ['at a desk', chart.spec!],
    ['on a phone', chart.narrow!],
  ])('lie within the drawing, none cut, none over another (%s)', async (_layout, spec) => {
    const { box, all } = await lettersOf(await drawSvg(spec, chart.title, ''))
    expect(all.length).toBeGreaterThan(5)
    const outside = all.filter(
      (t) =>
        t.left < box.left - 1 || t.right > box.right + 1 || t.top < box.top - 1 || t.bottom > box.bottom + 2,
    )
    expect(outside.map((t) => t.text)).toEqual([])
    expect(all.filter((t) => t.text.includes('…')).map((t) => t.text)).toEqual([])
    const over = all.flatMap((a, i) =>
      all
        .slice(i + 1)
        .filter((b) => overlap(a, b))
        .map((b) => `${a.text} over ${b.text}`),
    )
    expect(over).toEqual([])
  })
})
