import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import type { Page } from 'playwright-core'

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
/** WCAG 2.2 AA, with all that it takes over from the versions before it. */
const RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']

/** What axe-core, the outside judge, finds against WCAG 2.2 AA on a page as it stands: a line for each rule broken. */
export async function accessibilityFaults(page: Page): Promise<string[]> {
  // The debugger's evaluation is not bound by the page's content policy.
  const session = await page.context().newCDPSession(page)
  await session.send('Runtime.evaluate', { expression: AXE })
  const { result } = await session.send('Runtime.evaluate', {
    expression: `axe.run(document, { runOnly: ${JSON.stringify(RULES)} }).then((r) =>
      r.violations.map((v) => v.id + ': ' + v.nodes.length + ' × ' + v.nodes[0].html.slice(0, 200)))`,
    awaitPromise: true,
    returnByValue: true,
  })
  return result.value as string[]
}
