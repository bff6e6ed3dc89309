import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { beforeAll, describe, expect, it, vi } from 'vitest'
import { pageHtml } from '../../src/notebook/html/page.ts'
import type { Page, Provenance } from '../../src/notebook/page.ts'
import { runNotebook, versions } from '../../src/notebook/run.ts'
import { knownChanges, provenanceOf, verdictOf } from '../../src/notebook/verify.ts'
import { VERSION } from '../../src/version.ts'
import { waneline } from './command.ts'

vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 })

const NOTEBOOK = `import { parameters, readText, show, z } from 'waneline'
import { greeting } from './helper.ts'
import figures from './figures.json' with { type: 'json' }
const { note, seed } = parameters({ note: z.string(), seed: z.number().default(1) })
show('# ' + greeting)
show(readText(note) + figures.length + ' figures, seed ' + seed)
`
const folder = mkdtempSync(join(tmpdir(), 'waneline-verify-'))
const write = (name: string, text: string): void => writeFileSync(join(folder, name), text)
const notebook = join(folder, 'n.ts')
const given = { note: join(folder, 'note.md') }
const run = (more: Readonly<Record<string, unknown>> = {}): Promise<Page> =>
  runNotebook(notebook, { given: { ...given, ...more }, origin: {} })

const ORIGINAL: Readonly<Record<string, string>> = {
  'n.ts': NOTEBOOK,
  'helper.ts': "export const greeting = 'Good day'\n",
  'figures.json': '[1,2,3]\n',
  'note.md': 'Words.\n',
}
const original = (): void => {
  for (const [name, text] of Object.entries(ORIGINAL)) write(name, text)
}

describe('waneline verify', () => {
  let page: Page
  let html: string
  beforeAll(async () => {
    original()
    page = await run()
    html = await pageHtml(page, { code: true, live: false })
  })
  const changes = async (rerun: Page): Promise<readonly string[]> =>
    (await verdictOf(html, 'p.html', rerun)).changes
  const altered = (part: Partial<Provenance>): Page => ({
    ...page,
    provenance: { ...page.provenance, ...part },
  })

  it('has every file of its own that the notebook read or imported among the inputs, and its seed', () => {
    expect(page.provenance.inputs.map((i) => i.file.replace(folder, ''))).toEqual([
      '/note.md',
      'figures.json',
      'helper.ts',
    ])
    // echo '[1,2,3]' | sha256sum
    expect(page.provenance.inputs[1]).toMatchObject({
      sha256: '9c6bc7ac937d2daffe5ecdbe7eb3a59aba4f43e96a58a99f08838d4ce48c92ba',
      bytes: 8,
    })
    expect(page.provenance.parameters.find((p) => p.name === 'seed')?.value).toBe('1')
  })

  it('names the toolkit, Node and every dependency that runs', () => {
    expect(versions()).toMatchObject({ waneline: VERSION, node: process.versions.node })
    expect(Object.values(versions())).not.toContain('not found')
    expect(Object.keys(versions()).length).toBeGreaterThan(30)
  })

  it('finds the page reproduced where nothing changed', async () => {
    expect(await verdictOf(html, 'p.html', await run())).toEqual({ reproduced: true, changes: [] })
  })

  it.each([
    ['note.md', 'Other words.\n', /^The input file \S*note\.md has changed: it had 7 bytes, now 13\.$/],
    [
      'helper.ts',
      "export const greeting = 'Good bye'\n",
      /^The input file helper\.ts has changed: it had 35 bytes, as now\.$/,
    ],
    ['figures.json', '[1,2]\n', /^The input file figures\.json has changed: it had 8 bytes, now 6\.$/],
    ['n.ts', `${NOTEBOOK}// later\n`, /^The notebook n\.ts has changed since\.$/],
  ])('says that %s changed', async (name, text, sentence) => {
    write(name, text)
    const told = await changes(await run())
    original()
    expect(told).toHaveLength(1)
    expect(told[0]).toMatch(sentence)
  })

  it('says which parameter is another, gone or new', async () => {
    expect(await changes(await run({ seed: 2 }))).toEqual(['The parameter seed was "1" and is "2".'])
    const [note, seed] = page.provenance.parameters
    expect(await changes(altered({ parameters: [note!] }))).toEqual([
      'The parameter seed was "1" and is not there any more.',
    ])
    const added = { ...seed!, name: 'weeks', value: '12' }
    expect(await changes(altered({ parameters: [note!, seed!, added] }))).toEqual([
      'The parameter weeks is new; it is "12".',
    ])
  })

  it('says which file is gone or new, and what number of records changed', async () => {
    const [first, ...rest] = page.provenance.inputs
    expect(await changes(altered({ inputs: rest }))).toEqual([
      `The input file ${first!.file} (7 bytes) is not there any more.`,
    ])
    expect(
      await changes(altered({ inputs: [...page.provenance.inputs, { ...first!, file: 'late.csv' }] })),
    ).toEqual(['The input file late.csv is new.'])
    const fewer = { ...first!, sha256: '0'.repeat(64), bytes: 5, records: 2 }
    expect(await changes(altered({ inputs: [fewer, ...rest] }))).toEqual([
      `The input file ${first!.file} has changed: it had 7 bytes, now 5, and no records, now 2.`,
    ])
  })

  it('says which version is another', async () => {
    const other = { ...page.provenance.versions, waneline: '99.0.0', vega: '7.0.0' }
    expect(await changes(altered({ versions: other }))).toEqual([
      `waneline was ${VERSION} and is 99.0.0.`,
      `vega was ${versions().vega} and is 7.0.0.`,
    ])
    const then = { ...provenanceOf(html, 'p.html'), versions: { ...versions(), node: '18.0.0' } }
    expect(knownChanges(then, NOTEBOOK)).toEqual([`node was 18.0.0 and is ${process.versions.node}.`])
  })

  it('says that a page was edited by hand, and where', async () => {
    const edited = html.replace('3 figures', '4 figures')
    const { reproduced, changes: told } = await verdictOf(edited, 'p.html', page)
    expect(reproduced).toBe(false)
    expect(told[0]).toContain('it was edited by hand')
    expect(told[1]).toContain('4 figures')
  })

  it('whose notebook no longer runs to its end says why, and what else changed', async () => {
    write('p.html', html)
    rmSync(join(folder, 'note.md'))
    write('n.ts', `${NOTEBOOK}// later\n`)
    const { code, err } = await waneline(['verify', 'p.html'], { cwd: folder })
    original()
    expect(code).toBe(1)
    expect(err).toContain('cannot be reproduced from what is here: the rerun stopped.')
    expect(err).toContain('The notebook n.ts has changed since.')
    expect(err).toMatch(/Cannot read \S*note\.md/)
  })
})
