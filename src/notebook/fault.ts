import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { inspect } from 'node:util'
import { UserError } from '../errors.ts'
import { lineInFile } from './show.ts'

/** A place in a file that is not the notebook: one that it imports. */
export interface Elsewhere {
  readonly file: string
  readonly line: number
}

/** What ended a notebook. */
export interface NotebookFault {
  readonly outcome: 'failed'
  readonly name: string
  readonly message: string
  /** The notebook's own line, from 1; null where it is not known. */
  readonly line: number | null
  /** Where it went wrong, if in a file that the notebook imports. */
  readonly elsewhere: Elsewhere | null
  /** What lay behind it: messages of the error's causes, nearest first. */
  readonly because: readonly string[]
  readonly exitCode: number
  readonly planned: boolean
  /** Whether what is wrong is what was put in, and not the notebook. */
  readonly ofInput: boolean
}

/** A notebook that would end its own process ends without a page. */
export class ProcessExit extends UserError {
  constructor(code: unknown) {
    super(
      `process.exit(${code ?? ''}) would end the notebook before its page is made. Throw an Error where it is to stop; leave it out where it is done.`,
    )
  }
}

const own = (file: string): boolean =>
  !/[\\/]node_modules[\\/]/.test(file) && !file.startsWith('node:') && !file.startsWith(TOOLKIT_FOLDER)
const TOOLKIT_FOLDER = fileURLToPath(new URL('..', import.meta.url))

/** The innermost frame of a stack, where it is neither the notebook nor a library. */
function elsewhereIn(stack: string, notebook: string): Elsewhere | null {
  for (const frame of stack.split('\n')) {
    const m = /(?:\(|at (?:async )?)((?:file:\/\/|\/|[A-Za-z]:)[^()]*):(\d+):\d+\)?$/.exec(frame.trim())
    if (!m) continue
    const path = m[1]!.replace(/\?.*$/, '')
    const file = path.startsWith('file://') ? fileURLToPath(path) : path
    if (file === notebook) return null
    if (own(file)) return { file, line: Number(m[2]) }
  }
  return null
}

/** What cannot be read as TypeScript: the transform names file and line in its message, not in its stack. */
function unreadable(message: string): (Elsewhere & { readonly what: string }) | null {
  const m = /^(.+?):(\d+):\d+: ERROR: (.+)$/m.exec(message)
  return m ? { file: m[1]!, line: Number(m[2]), what: m[3]! } : null
}

/** A module or a name that is not there has no frame: the line that asks for it is looked for in the source. */
function askingLine(message: string, notebook: string): number | null {
  const missing =
    /does not provide an export named '([^']+)'/.exec(message) ??
    /Cannot find (?:module|package) '([^']+)'/.exec(message)
  if (!missing) return null
  const name = missing[1]!.replace(/^.*[\\/]/, '')
  const word = new RegExp(`(?<![\\w$])${name.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')}(?![\\w$])`)
  try {
    const at = readFileSync(notebook, 'utf8')
      .split(/\r\n|\r|\n/)
      .findIndex((line) => word.test(line))
    return at < 0 ? null : at + 1
  } catch {
    return null
  }
}

function causesOf(error: Error): string[] {
  const found: string[] = []
  for (let cause = error.cause; cause !== undefined && cause !== null && found.length < 5; ) {
    found.push(cause instanceof Error ? cause.message : inspect(cause, { depth: 1 }))
    cause = cause instanceof Error ? cause.cause : undefined
  }
  return found
}

/** What is known of something that was thrown while a notebook ran. */
export function faultOf(error: unknown, notebook: string): NotebookFault {
  const known =
    error instanceof Error
      ? error
      : new Error(`The notebook threw ${inspect(error, { depth: 1 })}, which is no Error and knows no line.`)
  const planned = known instanceof UserError || known.name === 'UserError' || !(error instanceof Error)
  const stack = error instanceof Error ? (known.stack ?? '') : ''
  const syntax = unreadable(known.message)
  const within = syntax ? (syntax.file === notebook ? null : syntax) : elsewhereIn(stack, notebook)
  return {
    outcome: 'failed',
    name: syntax ? 'SyntaxError' : known.name,
    message: syntax ? syntax.what : known.message,
    line:
      syntax && !within
        ? syntax.line
        : (lineInFile(stack, notebook, 'innermost') ?? askingLine(known.message, notebook)),
    elsewhere: within ? { file: within.file, line: within.line } : null,
    because: planned ? [] : causesOf(known),
    exitCode: planned && 'exitCode' in known ? Number(known.exitCode) : 1,
    planned,
    ofInput: planned && 'ofInput' in known && known.ofInput === true,
  }
}
