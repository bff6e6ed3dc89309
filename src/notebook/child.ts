/**
 * The process in which a notebook runs: fresh, from the top, nothing kept from before. It gathers what the notebook
 * shows and sends it to the runner, or the error with the notebook's own line.
 */
import { pathToFileURL } from 'node:url'
import { UserError } from '../errors.ts'
import {
  beginCollecting,
  type Collector,
  type DeclaredParameter,
  type InputFile,
  type Shown,
} from './collector.ts'
import { type KeptCall, makeAhead } from './kept.ts'
import { Described } from './parameters.ts'
import { resolveToolkit, TOOLKIT } from './resolve.ts'
import { lineInFile } from './show.ts'

export interface ChildTask {
  readonly notebook: string
  readonly given: Readonly<Record<string, unknown>>
  readonly origin: Readonly<Record<string, string>>
  readonly describeOnly: boolean
}

/** What the runner says to the process: make this ahead while you wait; run. */
export type ChildMessage =
  | { readonly kind: 'ahead'; readonly calls: readonly KeptCall[] }
  | { readonly kind: 'run'; readonly task: ChildTask }

export type ChildReport =
  | {
      readonly outcome: 'shown'
      readonly shown: readonly Shown[]
      readonly inputs: readonly InputFile[]
      readonly declared: readonly DeclaredParameter[]
      readonly values: Readonly<Record<string, string>>
      readonly withheld: readonly string[] | null
      readonly calls: readonly KeptCall[]
    }
  | { readonly outcome: 'described'; readonly declared: readonly DeclaredParameter[] }
  | {
      readonly outcome: 'failed'
      readonly name: string
      readonly message: string
      readonly line: number | null
      readonly exitCode: number
      readonly planned: boolean
    }

function reportOf(error: unknown, page: Collector): ChildReport {
  if (error instanceof Described) return { outcome: 'described', declared: page.declared }
  const known = error instanceof Error ? error : new Error(String(error))
  const planned = known instanceof UserError || known.name === 'UserError'
  return {
    outcome: 'failed',
    name: known.name,
    message: known.message,
    line: lineInFile(known.stack ?? '', page.notebook, 'innermost'),
    exitCode: planned && 'exitCode' in known ? Number(known.exitCode) : 1,
    planned,
  }
}

async function run(task: ChildTask, keep: KeptCall[] | null): Promise<ChildReport> {
  const page: Collector = { ...task, shown: [], inputs: [], declared: [], values: {}, withheld: null, keep }
  beginCollecting(page)
  try {
    const notebook = pathToFileURL(task.notebook).href
    resolveToolkit(notebook)
    await import(notebook)
  } catch (error) {
    return reportOf(error, page)
  }
  if (task.describeOnly) return { outcome: 'described', declared: page.declared }
  const { shown, inputs, declared, values, withheld } = page
  return { outcome: 'shown', shown, inputs, declared, values, withheld, calls: keep ?? [] }
}

async function prepare(calls: readonly KeptCall[]): Promise<void> {
  await import(TOOLKIT.href)
  await makeAhead(calls)
}

Error.stackTraceLimit = 100
/** What is being made ahead; null in a plain run, which keeps nothing. */
let ahead: Promise<void> | null = null
process.on('message', async (message: ChildMessage) => {
  if (message.kind === 'ahead') {
    ahead = prepare(message.calls)
    return
  }
  await ahead
  const report = await run(message.task, ahead && [])
  process.send?.(report, undefined, undefined, () => process.disconnect?.())
})
