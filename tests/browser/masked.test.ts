import { mkdtempSync, readdirSync, readFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, posix } from 'node:path'
import { strFromU8, unzipSync } from 'fflate'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { waneline } from '../notebook/command.ts'
import { launchBrowser } from './browser.ts'

const ROOT = join(import.meta.dirname, '..', '..')
const CLIENT = 'SM-2384'
/** Codes, places, dates by number or by name of the month (a year beside it), clinicians' initials of the demo clinic. */
const TELLING =
  /SM-\d{3,}|heron|curlew|plover|saltmarsh|\b20[12]\d-\d\d|\b\d{1,2}[ \u00a0](?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)[a-z]*[ \u00a0]20\d\d|\b(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)[ \u00a0]20\d\d|\bM\.T\./i

describe('a masked case presentation, as a page and as slides', () => {
  const out = mkdtempSync(join(tmpdir(), 'waneline-masked-'))
  let browser: Browser
  let parts: Readonly<Record<string, Uint8Array>>
  const text = (name: string): string => strFromU8(parts[name]!)

  beforeAll(async () => {
    const demo = ['--data', 'datasets/saltmarsh', '--as-of', '2026-06-30', '--client', CLIENT, '--masked']
    const ended = await waneline(
      [
        'run',
        'notebooks/case-presentation.ts',
        ...demo,
        '--out',
        out,
        '--no-check',
        '--no-live',
        '--format',
        'html,pptx',
      ],
      { cwd: ROOT },
    )
    expect(ended.err).toBe('')
    parts = unzipSync(readFileSync(join(out, 'case-presentation.pptx')))
    browser = await launchBrowser()
  })
  afterAll(() => browser.close())

  it('says no code, place or date in the page, its titles and descriptions, or a file name', () => {
    const page = readFileSync(join(out, 'case-presentation.html'), 'utf8')
    expect(page).toContain('Case 1')
    expect(TELLING.exec(page)?.[0]).toBeUndefined()
    expect(readdirSync(out).filter((name) => TELLING.test(name))).toEqual([])
  })

  it('says none in any part of the slides: text, notes, descriptions of pictures, properties', () => {
    for (const name of Object.keys(parts)) {
      expect(TELLING.exec(name)?.[0]).toBeUndefined()
      if (!/\.(xml|rels)$/.test(name)) continue
      // The library writes the moment of writing there; a fixed day stands in its place.
      const content = text(name).replaceAll('2000-01-01T00:00:00Z', '')
      expect([name, TELLING.exec(content)?.[0]]).toEqual([name, undefined])
    }
  })

  it('is well-formed XML in every part, as a browser reads it', async () => {
    const page = await browser.newPage()
    const xml = Object.keys(parts).filter((name) => /\.(xml|rels)$/.test(name))
    expect(xml.length).toBeGreaterThan(30)
    for (const name of xml) {
      const fault = await page.evaluate<string>(
        `new DOMParser().parseFromString(${JSON.stringify(text(name))}, 'application/xml').querySelector('parsererror')?.textContent ?? ''`,
      )
      expect([name, fault]).toEqual([name, ''])
    }
    await page.close()
  })

  it('has a part for every relationship and a content type for every part (ECMA-376, part 2)', () => {
    const types = text('[Content_Types].xml')
    const defaults = new Set([...types.matchAll(/<Default Extension="([^"]+)"/g)].map((m) => m[1]))
    const named = new Set([...types.matchAll(/PartName="\/([^"]+)"/g)].map((m) => m[1]))
    for (const name of Object.keys(parts)) {
      if (name.endsWith('/') || name === '[Content_Types].xml') continue
      expect([name, named.has(name) || defaults.has(name.split('.').at(-1)!)]).toEqual([name, true])
      if (!name.endsWith('.rels')) continue
      const folder = posix.dirname(posix.dirname(name))
      for (const [tag] of text(name).matchAll(/<Relationship [^>]*>/g)) {
        if (tag.includes('TargetMode="External"')) throw new Error(`${name} leads outside: ${tag}`)
        const target = /Target="([^"]+)"/.exec(tag)![1]!
        const path = target.startsWith('/') ? target.slice(1) : posix.normalize(posix.join(folder, target))
        expect([name, target, path in parts]).toEqual([name, target, true])
      }
    }
  })

  it('has native text and tables, and a description for each picture', () => {
    const slides = Object.keys(parts).filter((name) => /^ppt\/slides\/slide\d+\.xml$/.test(name))
    expect(slides.length).toBeGreaterThan(12)
    for (const name of slides) expect(text(name)).toMatch(/<a:t>[^<]{4,}/)
    const all = slides.map(text).join('')
    expect(all.match(/<a:tbl>/g)!.length).toBeGreaterThanOrEqual(5)
    const pictures = [...all.matchAll(/<p:pic>.*?<\/p:pic>/gs)].map(
      ([pic]) => /descr="([^"]*)"/.exec(pic)?.[1],
    )
    expect(pictures.length).toBeGreaterThanOrEqual(8)
    for (const description of pictures) expect(description?.length ?? 0).toBeGreaterThan(30)
    for (const heading of ['Patient', 'Clinical findings', 'Outcomes and harms', 'Consent'])
      expect(all).toContain(`<a:t>${heading}</a:t>`)
  })
})
