/**
 * An error that the person at the keyboard can mend: a missing folder, a bad option, a heading nobody knows.
 * The command line prints its message without a stack and leaves with `exitCode`. Anything else is a bug.
 */
export class UserError extends Error {
  override readonly name = 'UserError'
  readonly exitCode: number
  /** Whether what is wrong is what was put in (files, their reading guide, a day not given): then no line of a notebook is to blame. */
  readonly ofInput: boolean

  /** @param message what was found, where (file, record, field), what was expected and what to do */
  constructor(message: string, options: { exitCode?: number; cause?: unknown; ofInput?: boolean } = {}) {
    super(message, options.cause === undefined ? undefined : { cause: options.cause })
    this.exitCode = options.exitCode ?? 1
    this.ofInput = options.ofInput ?? false
  }
}
