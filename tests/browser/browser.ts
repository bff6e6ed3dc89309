import { pathToFileURL } from 'node:url'
import chromiumPackage from '@sparticuz/chromium'
import { type Browser, chromium, type Page } from 'playwright-core'

/** The real browser, from the npm registry alone. Close it when done. */
export const launchBrowser = async (): Promise<Browser> =>
  chromium.launch({
    executablePath: await chromiumPackage.executablePath(),
    // In a single process the browser ends with its first closed context.
    args: [...chromiumPackage.args.filter((arg) => arg !== '--single-process'), '--no-sandbox'],
    headless: true,
  })

export interface OpenOptions {
  readonly width?: number
  readonly height?: number
  readonly colorScheme?: 'light' | 'dark'
  readonly javaScriptEnabled?: boolean
}

export interface OpenPage {
  readonly page: Page
  /** Errors and warnings of the console, and uncaught errors. A breach of the content policy is one. */
  readonly complaints: string[]
  /** Every address asked for but the page itself. */
  readonly requests: string[]
}

/** Opens a page as a mail attachment would be: from a file, everything it asks for or complains of noted. */
export async function openFile(
  browser: Browser,
  file: string,
  { width = 1280, height = 900, colorScheme = 'light', javaScriptEnabled = true }: OpenOptions = {},
): Promise<OpenPage> {
  const context = await browser.newContext({ viewport: { width, height }, colorScheme, javaScriptEnabled })
  const page = await context.newPage()
  const complaints: string[] = []
  const requests: string[] = []
  const address = pathToFileURL(file).href
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text())
  })
  page.on('pageerror', (error) => complaints.push(error.message))
  page.on('request', (request) => {
    if (request.url() !== address) requests.push(request.url())
  })
  await page.goto(address)
  return { page, complaints, requests }
}

/** Pixels of a page that lie beside the screen, to be reached only by scrolling sideways. */
export const sidewaysScroll = (page: Page): Promise<number> =>
  page.evaluate<number>('document.documentElement.scrollWidth - document.documentElement.clientWidth')
