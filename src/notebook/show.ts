import { fileURLToPath } from 'node:url'
import { blockOf, type Showable, type TableOptions } from './blocks.ts'
import { collector, type InputFile } from './collector.ts'

/**
 * The line of the notebook in a stack: of its outermost frame, where a cell made the call, or of its innermost, where
 * something went wrong.
 */
export function lineInFile(
  stack: string,
  file: string,
  which: 'outermost' | 'innermost' = 'outermost',
): number | null {
  let line: number | null = null
  for (const frame of stack.split('\n')) {
    const m = /(?:\(|at (?:async )?)((?:file:\/\/|\/|[A-Za-z]:)[^()]*):(\d+):\d+\)?$/.exec(frame.trim())
    if (!m) continue
    const path = m[1]!.startsWith('file://')
      ? fileURLToPath(m[1]!.replace(/\?.*$/, ''))
      : m[1]!.replace(/\?.*$/, '')
    if (path !== file) continue
    line = Number(m[2])
    if (which === 'innermost') break
  }
  return line
}

/** Stacks are cut at ten frames by default, which a call from within a few functions passes. */
const DEEP = 200

function callingLine(file: string): number {
  const limit = Error.stackTraceLimit
  Error.stackTraceLimit = DEEP
  const line = lineInFile(new Error('where').stack ?? '', file)
  Error.stackTraceLimit = limit
  return line ?? 1
}

/**
 * Puts a value on the page, at the cell of the notebook from which it was called, also from within functions and loops.
 * Takes text (Markdown), a chart, a table (Arquero or an array of objects) or a block. Outside a running notebook it
 * does nothing.
 * @throws TypeError for anything else
 */
export function show(value: Showable, options: TableOptions = {}): void {
  const page = collector()
  const block = blockOf(value, options)
  if (!page) return
  const line = callingLine(page.notebook)
  if (line !== page.shown.at(-1)?.line) page.at?.(line)
  page.shown.push({ line, block })
}

/** Names a file that the page is made from, for its provenance. */
export function recordInput(input: InputFile): void {
  const page = collector()
  if (page && !page.inputs.some((i) => i.file === input.file && i.sha256 === input.sha256))
    page.inputs.push(input)
}

/**
 * Withholds where the page came from (files, parameters) and these texts: a page on which one of them stands all the same is
 * not written. For pages that must not tell whom they are about.
 */
export function withhold(texts: readonly string[]): void {
  const page = collector()
  if (page) page.withheld = [...(page.withheld ?? []), ...texts.filter((t) => t.trim() !== '')]
}
