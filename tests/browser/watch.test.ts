import { type ChildProcess, spawn } from 'node:child_process'
import { copyFileSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs'
import { request } from 'node:http'
import { networkInterfaces, tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { COMMAND } from '../notebook/command.ts'
import { launchBrowser } from './browser.ts'

const file = join(mkdtempSync(join(tmpdir(), 'waneline-watch-')), 'toy.ts')
let child: ChildProcess
let address: string
let browser: Browser
let page: Page
const complaints: string[] = []

beforeAll(async () => {
  copyFileSync(fileURLToPath(new URL('../notebook/data/toy.ts', import.meta.url)), file)
  child = spawn(process.execPath, [...COMMAND, 'watch', file, '--no-check'], {
    stdio: ['ignore', 'pipe', 'inherit'],
  })
  address = await new Promise((done, reject) => {
    child.once('exit', (code) => reject(new Error(`waneline watch ended with ${code}`)))
    child.stdout?.once('data', (chunk) => done(String(chunk).split('\n')[0] as string))
  })
  browser = await launchBrowser()
  page = await browser.newPage({ viewport: { width: 1000, height: 600 } })
  page.on('console', (message) => complaints.push(message.text()))
  page.on('pageerror', (error) => complaints.push(error.message))
  await page.goto(address)
  await page.waitForSelector('body[data-version="1"]')
})
afterAll(async () => {
  await browser?.close()
  child?.kill()
})

const change = (from: string, to: string): void =>
  writeFileSync(file, readFileSync(file, 'utf8').replace(from, to))
const scrolled = (): Promise<number> =>
  page.evaluate<number>("document.querySelector('iframe').contentWindow.scrollY")

describe('waneline watch', () => {
  it('shows the page anew at a save, where the reader was', async () => {
    await page.evaluate(
      "document.querySelector('iframe').contentWindow.scrollTo({top:700,behavior:'instant'})",
    )
    change('# A toy notebook', '# A changed notebook')
    await page.waitForSelector('body[data-version="2"]')
    expect(await page.frameLocator('iframe').locator('h1').textContent()).toBe('A changed notebook')
    expect(await scrolled()).toBe(700)
  })

  it('shows an error above the last page that came out, and recovers', async () => {
    change('// %% Charts', '// %% Charts\nthrow new Error("not yet <b>done</b>")\n')
    await page.waitForSelector('#error:not([hidden])')
    const error = await page.locator('#error').textContent()
    expect(error).toContain('not yet <b>done</b>')
    expect(error).toMatch(/> \d+ \| throw new Error/)
    expect(await page.frameLocator('iframe').locator('h1').textContent()).toBe('A changed notebook')
    change('throw new Error("not yet <b>done</b>")\n', '')
    await page.waitForSelector('body[data-version="3"]')
    expect(await page.locator('#error').isVisible()).toBe(false)
    expect(complaints).toEqual([])
  })

  it('ends a run without end at the next save', async () => {
    change('// %% Charts', '// %% Charts\nfor (;;) Math.random()\n')
    await page.locator('#bar', { hasText: /^Running/ }).waitFor()
    change('for (;;) Math.random()\n', '')
    await page.waitForSelector('body[data-version="4"]')
    expect(await page.locator('#error').isVisible()).toBe(false)
  })

  it('answers this machine alone, by its own name', async () => {
    expect(address).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/$/)
    const { port } = new URL(address)
    const status = (headers: Readonly<Record<string, string>>): Promise<number | undefined> =>
      new Promise((done, reject) => {
        request(address, { headers }, (response) => {
          response.resume()
          done(response.statusCode)
        })
          .once('error', reject)
          .end()
      })
    expect(await status({})).toBe(200)
    for (const host of [
      'clinic.example',
      `clinic.example:${port}`,
      '127.0.0.1',
      `127.0.0.1.clinic.example:${port}`,
    ])
      expect(await status({ host }), host).toBe(403)
    expect(await status({ host: `localhost:${port}` })).toBe(200)
    // Every other address of this machine refuses the connection: the server listens on loopback alone.
    const others = Object.values(networkInterfaces()).flatMap((i) => i ?? [])
    for (const { address: other, family } of others.filter((o) => !o.internal && o.family === 'IPv4'))
      await expect(fetch(`http://${other}:${port}/`), family).rejects.toThrow('fetch failed')
  })

  it('ends at Ctrl+C, with a run without end under way', async () => {
    change('// %% Charts', '// %% Charts\nfor (;;) Math.random()\n')
    await page.locator('#bar', { hasText: /^Running/ }).waitFor()
    const ended = new Promise((done) => child.once('exit', (...how) => done(how)))
    child.kill('SIGINT')
    expect(await ended).toEqual([0, null])
  })
})
