import type { ChildProcess } from 'node:child_process'
import { type FSWatcher, watch } from 'node:fs'
import { basename, dirname } from 'node:path'
import { pageHtml } from '../html/page.ts'
import type { KeptCall } from '../kept.ts'
import { forkModule, NotebookProcess } from '../process.ts'
import { type RunOptions, readNotebook, runIn, sha256 } from '../run.ts'
import type { WatchServer } from './server.ts'

/** Editors write a file in several steps; this long after the last one it is taken as saved. */
const SETTLED_MS = 20
const CHECK_AFTER_MS = 1500
/** A run that takes longer than this is said to be running. */
const SLOW_MS = 700

export interface SessionOptions extends RunOptions {
  readonly check: boolean
  readonly code: boolean
}

/**
 * Runs a notebook at every save, always from the top in a fresh process. The next process waits ready, with the toolkit
 * loaded and the records read; nothing else is kept from one run to the next.
 */
export class WatchSession {
  private readonly path: string
  private readonly server: WatchServer
  private readonly options: SessionOptions
  private next: NotebookProcess
  private checker: ChildProcess | null = null
  private watcher: FSWatcher | null = null
  private checkTimer: NodeJS.Timeout | null = null
  private timer: NodeJS.Timeout | null = null
  private ran = ''
  private version = 0
  private running = false
  private closed = false
  private again = false

  constructor(path: string, server: WatchServer, options: SessionOptions) {
    this.path = path
    this.server = server
    this.options = options
    this.next = new NotebookProcess([])
  }

  /** Runs once, then at every save. Of the folder the notebook lies in, since many editors replace the file. */
  async start(): Promise<void> {
    const { file } = readNotebook(this.path)
    this.watcher = watch(dirname(file), (_, name) => {
      if (name !== null && name !== basename(file) && !/\.(ts|mts|md|ya?ml)$/.test(name)) return
      if (this.timer) clearTimeout(this.timer)
      this.timer = setTimeout(() => void this.saved(name === null || name === basename(file)), SETTLED_MS)
    })
    await this.run()
  }

  close(): void {
    this.closed = true
    this.watcher?.close()
    if (this.timer) clearTimeout(this.timer)
    if (this.checkTimer) clearTimeout(this.checkTimer)
    this.next.stop()
    this.checker?.kill()
  }

  private async saved(notebookItself: boolean): Promise<void> {
    if (notebookItself && this.current() === this.ran) return
    if (this.running) {
      // What it runs is no longer what stands in the file; it may even run for ever.
      this.again = true
      this.next.stop()
    } else await this.run()
  }

  /** Digest of the notebook as it stands; empty while it is not there. */
  private current(): string {
    try {
      return sha256(readNotebook(this.path).source)
    } catch {
      return ''
    }
  }

  private async run(): Promise<void> {
    this.running = true
    do {
      this.again = false
      this.ran = this.current()
      const began = performance.now()
      const process = this.next
      const slow = setTimeout(() => this.server.tell({ says: 'Running; below is the page before.' }), SLOW_MS)
      let calls: readonly KeptCall[] = []
      try {
        const ran = await runIn(process, this.path, this.options)
        calls = ran.calls
        const html = await pageHtml(ran.page, { code: this.options.code })
        const seconds = ((performance.now() - began) / 1000).toFixed(1)
        this.server.tell({
          html,
          version: ++this.version,
          error: '',
          says: `Up to date, run in ${seconds} s`,
        })
        this.calls = calls
      } catch (error) {
        process.stop()
        if (this.closed) return
        if (this.again) {
          this.next = new NotebookProcess(this.calls)
          continue
        }
        const message = error instanceof Error ? error.message : String(error)
        this.server.tell({
          error: message,
          says: 'The notebook stopped; below is the last page that came out.',
        })
      } finally {
        clearTimeout(slow)
      }
      if (this.closed) return
      this.next = new NotebookProcess(this.calls)
    } while (this.again)
    this.running = false
    if (this.options.check) this.check()
  }

  /** Costly calls of the last run that came out. */
  private calls: readonly KeptCall[] = []

  /** The type check takes longer than the run, so it follows when the next process has had its start. */
  private check(): void {
    this.checker?.kill()
    if (this.checkTimer) clearTimeout(this.checkTimer)
    this.checkTimer = setTimeout(() => this.checkNow(), CHECK_AFTER_MS)
  }

  private checkNow(): void {
    const checker = forkModule('watch/check')
    this.checker = checker
    checker.once('message', (message) => {
      if (this.checker === checker && typeof message === 'string' && message)
        this.server.tell({
          error: message,
          says: 'The page is up to date, but the notebook does not pass its type check.',
        })
    })
    checker.send(this.path)
  }
}
