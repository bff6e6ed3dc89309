/**
 * The process in which a notebook runs: fresh, from the top, nothing kept from before. It gathers what the notebook
 * shows and sends it to the runner, or the error with the notebook's own line.
 */
import { pathToFileURL } from 'node:url'
import {
  beginCollecting,
  type Collector,
  type DeclaredParameter,
  type InputFile,
  type Shown,
} from './collector.ts'
import { faultOf, type NotebookFault, ProcessExit } from './fault.ts'
import { type KeptCall, makeAhead } from './kept.ts'
import { Described } from './parameters.ts'
import { resolveToolkit, TOOLKIT } from './resolve.ts'

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
  | NotebookFault

/** Sent while the notebook runs: the line it last showed something from, should the process end before its report. */
export interface ChildProgress {
  readonly outcome: 'at'
  readonly line: number
}

let ended = false

/** The first report is the only one. The exit is left to Node, which lets the report be read first. */
function report(sent: ChildReport): void {
  if (ended) return
  ended = true
  process.send?.(sent, undefined, undefined, () => process.exit())
}

const WAITS: NotebookFault = {
  outcome: 'failed',
  name: 'Error',
  message:
    'The notebook waits for something that never comes: an await on a promise that nothing is going to settle.',
  line: null,
  elsewhere: null,
  because: [],
  exitCode: 1,
  planned: true,
  ofInput: false,
}

async function run(task: ChildTask, keep: KeptCall[] | null): Promise<void> {
  const page: Collector = {
    ...task,
    shown: [],
    inputs: [],
    declared: [],
    values: {},
    withheld: null,
    keep,
    at: (line) => process.send?.({ outcome: 'at', line } satisfies ChildProgress),
  }
  beginCollecting(page)
  const fail = (error: unknown): void =>
    report(
      error instanceof Described
        ? { outcome: 'described', declared: page.declared }
        : faultOf(error, page.notebook),
    )
  process.on('uncaughtException', fail)
  process.on('unhandledRejection', fail)
  const exit = process.exit
  process.exit = (code) => {
    if (ended) return exit(code)
    throw new ProcessExit(code)
  }
  // The page is whole when nothing is left to happen: what a forgotten await leaves running is on it, or its error is.
  let imported = false
  process.channel?.unref()
  const notebook = pathToFileURL(task.notebook).href
  const modules = resolveToolkit(notebook)
  process.once('beforeExit', () => {
    if (!imported) report(WAITS)
    else if (task.describeOnly) report({ outcome: 'described', declared: page.declared })
    else {
      const { shown, declared, values, withheld } = page
      const inputs = [...page.inputs, ...modules()]
      report({ outcome: 'shown', shown, inputs, declared, values, withheld, calls: keep ?? [] })
    }
  })
  try {
    await import(notebook)
    imported = true
  } catch (error) {
    fail(error)
  }
}

async function prepare(calls: readonly KeptCall[]): Promise<void> {
  await import(TOOLKIT.href)
  await makeAhead(calls, () => wanted)
}

Error.stackTraceLimit = 100
/** What is being made ahead; null in a plain run, which keeps nothing. */
let ahead: Promise<void> | null = null
let wanted = false
process.on('message', async (message: ChildMessage) => {
  if (message.kind === 'ahead') {
    ahead = prepare(message.calls)
    return
  }
  wanted = true
  await ahead
  await run(message.task, ahead && [])
})
