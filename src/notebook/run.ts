import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { basename, relative, resolve } from 'node:path'
import { UserError } from '../errors.ts'
import { DEPENDENCIES, VERSION } from '../version.ts'
import type { Block } from './blocks.ts'
import type { ChildTask } from './child.ts'
import type { DeclaredParameter, Shown } from './collector.ts'
import type { Elsewhere, NotebookFault } from './fault.ts'
import type { KeptCall } from './kept.ts'
import type { Page, PageCell } from './page.ts'
import { NotebookProcess, ProcessEnded } from './process.ts'
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
  const task = { notebook: file, given: {}, origin: {}, describeOnly: true }
  return (await reportOf(new NotebookProcess(), task, path, source)).declared
}

function elsewhereLines({ file, line }: Elsewhere): string {
  try {
    return `\n\nIt went wrong in ${tidyPath(file)}:${line}:\n\n${excerpt(readFileSync(file, 'utf8'), line)}`
  } catch {
    return `\n\nIt went wrong in ${tidyPath(file)}:${line}.`
  }
}

/** A path as a person would type it from here. */
const tidyPath = (file: string): string => {
  const near = relative('', file)
  return near.startsWith('..') ? file : near
}

function failure(
  { name, message, line, elsewhere, because, exitCode, planned, ofInput }: NotebookFault,
  path: string,
  source: string,
): UserError {
  // What was typed wrongly on the command line has nothing to do with a line of the notebook.
  if (planned && exitCode === 2) return new UserError(`${message}\n\nNo page was written.`, { exitCode })
  // Nor has what is wrong in the exports or their guide.
  if (ofInput) return new UserError(`${message}\n\nNo page was written.`, { exitCode: exitCode || 1 })
  const where = line === null ? path : `${path}:${line}`
  const lines = line === null ? '' : `\n\n${excerpt(source, line)}`
  const what = planned || name === 'Error' ? message : `${name}: ${message}`
  const causes = because.map((cause) => `\nBecause: ${cause}`).join('')
  const helper = elsewhere ? elsewhereLines(elsewhere) : ''
  return new UserError(
    `${what}${causes}${helper}\n\nThe notebook stopped at ${where}; no page was written.${lines}`,
    { exitCode: exitCode || 1 },
  )
}

/** A process that ended without a report says at least where the notebook had come to. */
function ending(error: ProcessEnded, path: string, source: string): UserError {
  const came =
    error.line === null
      ? `It had shown nothing yet; no page was written.`
      : `It had last shown something at ${path}:${error.line}; no page was written.\n\n${excerpt(source, error.line)}`
  return new UserError(`${error.message}\n\n${came}`, { exitCode: error.exitCode })
}

/** Runs a task to its report. */
async function reportOf(process: NotebookProcess, task: ChildTask, path: string, source: string) {
  try {
    const report = await process.run(task)
    if (report.outcome === 'failed') throw failure(report, path, source)
    return report
  } catch (error) {
    throw error instanceof ProcessEnded ? ending(error, path, source) : error
  }
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

export const versions = (): Record<string, string> => ({
  waneline: VERSION,
  node: process.versions.node,
  ...Object.fromEntries(DEPENDENCIES.map((name) => [name, versionOf(name)])),
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
  if (texts.length === 0) return
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
  const report = await reportOf(process, { notebook: file, given, origin, describeOnly: false }, path, source)
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
