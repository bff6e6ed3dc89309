import { mkdtempSync, readdirSync, readFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'
import { waneline } from './command.ts'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
const NOTEBOOKS = readdirSync(join(ROOT, 'notebooks')).filter((name) => name.endsWith('.ts'))
const DEMO = ['--data', 'datasets/saltmarsh', '--as-of', '2026-06-30']
/** What each notebook needs to run on the demo clinic; a notebook that is not named here takes the folder and the day. */
const PARAMETERS: Readonly<Record<string, readonly string[]>> = {
  'methods-check.ts': [],
  'case-presentation.ts': [...DEMO, '--client', firstClient()],
}

/** A client code of the demo: the first of the first site's list. */
function firstClient(): string {
  const [, first] = readFileSync(join(ROOT, 'datasets/saltmarsh/heron/clients.csv'), 'utf8').split('\n')
  return first!.split(/[,;\t]/)[0]!
}

/** Orders to a clinician: an imperative at the head of a sentence, or what "should be" done to a programme. */
const ORDERS =
  /(?:^|[.!?:;>]\s+|>)(?:please )?(?:stop|start|increase|reduce|lower|raise|continue|discontinue|pause|resume|change|consider|prescribe|refer|avoid|adjust) (?:the|this|these|with|using|giving|all|any|treatment|stimulation|sessions|exercise)\b|\b(?:should|must|needs? to|ought to) (?:be )?(?:stop|start|increas|reduc|continu|discontinu|paus|resum|prescrib|treat)/i

/** Where the page of every notebook lands; each is run once. */
const out = mkdtempSync(join(tmpdir(), 'waneline-notebooks-'))

describe('the committed notebooks', () => {
  it.each(NOTEBOOKS)('%s is no longer than 150 lines', (name) => {
    const lines = readFileSync(join(ROOT, 'notebooks', name), 'utf8')
      .trimEnd()
      .split('\n')
    expect(lines.length).toBeLessThanOrEqual(150)
  })

  it.each(NOTEBOOKS)(
    '%s passes its type check and runs on the demo, each figure with its three explanations',
    async (name) => {
      const words = [
        'run',
        join('notebooks', name),
        ...(PARAMETERS[name] ?? DEMO),
        '--out',
        out,
        '--format',
        'html,md',
      ]
      const ended = await waneline(words, { cwd: ROOT })
      expect(ended.err).toBe('')
      expect(ended.code).toBe(0)
      const page = readFileSync(join(out, name.replace(/\.ts$/, '.html')), 'utf8')
      const body = page.replace(/<(script|style)[\s\S]*?<\/\1>/g, '').replace(/<pre[\s\S]*?<\/pre>/g, '')
      expect(body).toMatch(/<h1/)
      expect(ORDERS.exec(body)?.[0]).toBeUndefined()
      expect(body).not.toMatch(/\bNaN\b|\bundefined\b|\[object Object\]|>Infinity</)
      for (const figure of body.match(/<figure[\s\S]*?<\/figure>/g) ?? [])
        for (const words of ['shows', 'how', 'limits'])
          expect(figure).toMatch(new RegExp(`<span class="${words}">[^<]{15,}</span>`))
      const glossary = /Words used on this page[\s\S]*smallest reliable difference/.test(body)
      expect(glossary).toBe(body.includes('<figure'))
      for (const table of body.match(/<table[\s\S]*?<\/table>/g) ?? [])
        expect(table, table.slice(0, 200)).toMatch(/<td/)
    },
  )

  it('case-presentation.ts and anonymised-tables.ts name no client but the one presented', () => {
    const codesOn = (name: string) => new Set(readFileSync(join(out, name), 'utf8').match(/\bSM-\d{4}\b/g))
    expect([...codesOn('case-presentation.html')]).toEqual([firstClient()])
    expect([...codesOn('anonymised-tables.html')]).toEqual([])
    expect(codesOn('caseload-review.html').size).toBeGreaterThan(30)
  })

  it.each(['<p>Stop the programme.', 'Seen. Consider using less.', 'The dose should be reduced.'])(
    'knows an order when it sees one: %s',
    (text) => {
      expect(text).toMatch(ORDERS)
    },
  )

  it('methods-check.ts: every figure but the two that it explains is the published one', () => {
    const rows = readFileSync(join(out, 'methods-check.md'), 'utf8').split('\n')
    const differ = rows.filter((row) => row.startsWith('|') && row.includes('differs'))
    expect(rows.filter((row) => row.includes('same at the printed precision')).length).toBeGreaterThan(30)
    expect(differ.length).toBe(2)
    for (const row of differ) expect(row).toContain('Limits of agreement')
  })
})
