import { type ChildProcess, fork } from 'node:child_process'
import { createRequire } from 'node:module'
import { fileURLToPath } from 'node:url'
import { UserError } from '../errors.ts'
import type { ChildMessage, ChildProgress, ChildReport, ChildTask } from './child.ts'
import type { KeptCall } from './kept.ts'
import { FROM_SOURCE } from './resolve.ts'

// tsx registers its loader in the way that Node 26 says is to go; that is no news for whoever runs a notebook.
const QUIET = '--disable-warning=DEP0205'

/** Starts a module of the toolkit in a process of its own that can read TypeScript. */
export function forkModule(name: string): ChildProcess {
  const here = fileURLToPath(new URL(`./${name}.${FROM_SOURCE ? 'ts' : 'js'}`, import.meta.url))
  const loader = createRequire(import.meta.url).resolve('tsx')
  return fork(here, [], {
    execArgv: [QUIET, '--import', loader, ...(FROM_SOURCE ? ['--conditions=waneline-source'] : [])],
    serialization: 'advanced',
    stdio: ['ignore', 'inherit', 'inherit', 'ipc'],
  })
}

/** A fresh process in which one notebook runs, once. */
export class NotebookProcess {
  private readonly child: ChildProcess

  /** @param ahead calls whose results the process may make while it waits; see `keepable` */
  constructor(ahead: readonly KeptCall[] | null = null) {
    this.child = forkModule('child')
    if (ahead) this.send({ kind: 'ahead', calls: ahead })
  }

  private send(message: ChildMessage): void {
    this.child.send(message)
  }

  /** Ends the process; a run that waits for it fails. */
  stop(): void {
    this.child.kill()
  }

  /**
   * Runs a task. While it does, what would end this process ends the notebook's first, so that none is left behind.
   * @throws ProcessEnded where the process ends without a report
   */
  run(task: ChildTask): Promise<ChildReport> {
    const { child } = this
    const pass = (signal: NodeJS.Signals): void => void child.kill(signal)
    process.on('SIGINT', pass).on('SIGTERM', pass)
    return new Promise<ChildReport>((settle, reject) => {
      let report: ChildReport | null = null
      let line: number | null = null
      child.once('error', reject)
      child.on('message', (message: ChildReport | ChildProgress) => {
        if (message.outcome === 'at') line = message.line
        else report = message
      })
      child.once('exit', (code, signal) => {
        if (report) settle(report)
        else reject(new ProcessEnded(code, signal, line))
      })
      this.send({ kind: 'run', task })
    }).finally(() => process.off('SIGINT', pass).off('SIGTERM', pass))
  }
}

/** The process of a notebook ended without a report. */
export class ProcessEnded extends UserError {
  /** The line it had last shown something from, if any. */
  readonly line: number | null

  constructor(code: number | null, signal: NodeJS.Signals | null, line: number | null) {
    const stopped = signal === 'SIGINT' || signal === 'SIGTERM'
    super(
      signal === null
        ? `The notebook's process ended by itself (exit code ${code}).`
        : stopped
          ? 'The notebook was stopped.'
          : `The notebook's process was ended by the system (${signal}), most often because memory ran out. Run fewer clients, or give Node more with NODE_OPTIONS=--max-old-space-size=8192.`,
      { exitCode: signal === 'SIGINT' ? 130 : signal === 'SIGTERM' ? 143 : 1 },
    )
    this.line = line
  }
}
