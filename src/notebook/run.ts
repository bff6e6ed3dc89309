import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { basename, resolve } from 'node:path'
import { UserError } from '../errors.ts'
import { VERSION } from '../version.ts'
import type { Block } from './blocks.ts'
import type { ChildReport } from './child.ts'
import type { DeclaredParameter, Shown } from './collector.ts'
import type { KeptCall } from './kept.ts'
import type { Page, PageCell } from './page.ts'
import { NotebookProcess } from './process.ts'
import { type Cell, cellsOf, excerpt } from './source.ts'

export interface RunOptions {
  /** Parameter values by name, and where each came from. */
  readonly given: Readonly<Record<string, unknown>>
  readonly origin: Readonly<Record<string, string>>
}

/** Reads a notebook's source, or says what is wrong with the path. */
export function readNotebook(path: string): { readonly file: string; readonly source: string } {
  const file = resolve(path)
  try {
    return { file, source: readFileSync(file, 'utf8') }
  } catch (cause) {
    throw new UserError(
      `There is no notebook ${path}. Name a TypeScript file, such as notebooks/caseload-review.ts.`,
      {
        exitCode: 2,
        cause,
      },
    )
  }
}

/** The parameters that a notebook declares, for help. Nothing after the declaration is run. */
export async function describeNotebook(path: string): Promise<readonly DeclaredParameter[]> {
  const { file, source } = readNotebook(path)
  const report = await new NotebookProcess().run({
    notebook: file,
    given: {},
    origin: {},
    describeOnly: true,
  })
  if (report.outcome === 'failed') throw failure(report, path, source)
  return report.declared
}

function failure(
  { name, message, line, exitCode, planned }: Extract<ChildReport, { outcome: 'failed' }>,
  path: string,
  source: string,
): UserError {
  const where = line === null ? path : `${path}:${line}`
  const lines = line === null ? '' : `\n\n${excerpt(source, line)}`
  const what = planned || name === 'Error' ? message : `${name}: ${message}`
  return new UserError(`${what}\n\nThe notebook stopped at ${where}; no page was written.${lines}`, {
    exitCode: exitCode || 1,
  })
}

/** Prose and shown blocks of one cell: prose stands before what was shown from a later line. */
function blocksOf(cell: Cell, shown: readonly Shown[]): Block[] {
  const blocks: Block[] = []
  const prose = [...cell.prose]
  for (const { line, block } of shown) {
    while (prose.length > 0 && prose[0]!.line < line)
      blocks.push({ kind: 'markdown', text: prose.shift()!.text })
    blocks.push(block)
  }
  for (const { text } of prose) blocks.push({ kind: 'markdown', text })
  return blocks
}

function pageCells(source: string, shown: readonly Shown[]): PageCell[] {
  return cellsOf(source).map((cell) => ({
    title: cell.title,
    code: cell.code,
    blocks: blocksOf(
      cell,
      shown.filter(({ line }) => line >= cell.from && line <= cell.to),
    ),
  }))
}

/** The first heading of the prose, or the file's name. */
function titleOf(cells: readonly PageCell[], file: string): string {
  for (const { blocks } of cells)
    for (const block of blocks) {
      const heading = block.kind === 'markdown' ? /^#\s+(.+)$/m.exec(block.text) : null
      if (heading) return heading[1]!.trim()
    }
  return basename(file).replace(/\.[^.]+$/, '')
}

const versionOf = (name: string): string => {
  const require = createRequire(import.meta.url)
  const [path] = require.resolve.paths(name) ?? []
  for (const folder of require.resolve.paths(name) ?? [path ?? ''])
    try {
      return (JSON.parse(readFileSync(resolve(folder, name, 'package.json'), 'utf8')) as { version: string })
        .version
    } catch {
      // not in this folder: look in the next
    }
  return 'not found'
}

/** The packages whose version may change a number or a picture on a page. */
const NAMED = ['arquero', 'simple-statistics', 'vega', 'vega-lite', 'typescript', 'tsx']

export const versions = (): Record<string, string> => ({
  waneline: VERSION,
  node: process.versions.node,
  ...Object.fromEntries(NAMED.map((name) => [name, versionOf(name)])),
})

export const sha256 = (bytes: string | Uint8Array): string => createHash('sha256').update(bytes).digest('hex')

/**
 * Runs a notebook from the top in a fresh process and gives the page it makes.
 * @throws UserError with the notebook's own line, a few lines of its source, and the sentence that helps
 */
export async function runNotebook(path: string, options: RunOptions): Promise<Page> {
  return (await runIn(new NotebookProcess(), path, options)).page
}

/** A page that says what it was to withhold is not made. The text itself is not repeated. */
function refuseWithheld(page: Page, texts: readonly string[]): void {
  const all = JSON.stringify(page).toLowerCase()
  const found = texts.filter((text) => all.includes(JSON.stringify(text).slice(1, -1).toLowerCase()))
  if (found.length > 0)
    throw new UserError(
      `The page was to withhold ${found.length === 1 ? 'a text' : `${found.length} texts`} that stand on it all the same; no page was written. Most often a name or code stands in the clinician's own words.`,
    )
}

/** Runs a notebook in a process that was made for it, and says which calls may be made ahead for the next run. */
export async function runIn(
  process: NotebookProcess,
  path: string,
  { given, origin }: RunOptions,
): Promise<{ readonly page: Page; readonly calls: readonly KeptCall[] }> {
  const { file, source } = readNotebook(path)
  const report = await process.run({ notebook: file, given, origin, describeOnly: false })
  if (report.outcome === 'failed') throw failure(report, path, source)
  if (report.outcome === 'described') throw new Error('A run that was not asked to describe did so.')
  const cells = pageCells(source, report.shown)
  const hidden = report.withheld
  const page = {
    title: titleOf(cells, file),
    cells,
    provenance: {
      notebook: basename(file),
      notebookSha256: sha256(source),
      parameters: hidden ? [] : report.declared.map((d) => ({ ...d, value: report.values[d.name] ?? '' })),
      inputs: hidden
        ? []
        : [...report.inputs].sort((a, b) => (a.file < b.file ? -1 : a.file > b.file ? 1 : 0)),
      versions: versions(),
    },
  }
  refuseWithheld(page, hidden ?? [])
  return { page, calls: report.calls }
}
