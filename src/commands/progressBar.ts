import { writeSync } from 'node:fs'
import type { Progress } from '../load/index.ts'
import { printable } from './printable.ts'

const BAR_WIDTH = 30
const NAME_LENGTH = 40
const BAR_EVERY_MS = 100
const BAR_AFTER_MS = 500

/** How far reading has come, in one line: `[###...] 10 % log.csv`. A long path shows its end. */
export function barText({ file, bytes, totalBytes }: Progress): string {
  const share = totalBytes === 0 ? 1 : Math.min(1, bytes / totalBytes)
  const done = '#'.repeat(Math.round(share * BAR_WIDTH)).padEnd(BAR_WIDTH, '.')
  const letters = [...printable(file)]
  const name = letters.length > NAME_LENGTH ? `…${letters.slice(1 - NAME_LENGTH).join('')}` : letters.join('')
  return `[${done}] ${Math.round(share * 100)} % ${name}`
}

export interface ProgressBar {
  readonly show: (progress: Progress) => void
  readonly clear: () => void
}

/**
 * A bar on a terminal, in one line of standard error that is gone at the end, and only for reads that take long; elsewhere nothing.
 *
 * @param now milliseconds, from any beginning
 */
export function progressBar(
  onTerminal = process.stderr.isTTY === true,
  // The loop that reads may not come back to a stream for a while, so the line is written at once.
  write: (text: string) => void = (text) => void writeSync(process.stderr.fd, text),
  now: () => number = () => performance.now(),
): ProgressBar {
  let next = now() + BAR_AFTER_MS
  let shown = false
  return {
    show: (progress) => {
      if (!onTerminal || now() < next) return
      next = now() + BAR_EVERY_MS
      shown = true
      try {
        write(`\r${barText(progress)}\x1b[K`)
      } catch {
        // A terminal that takes no more for now (EAGAIN) is no reason to stop reading.
      }
    },
    clear: () => {
      if (shown) process.stderr.write('\r\x1b[K')
    },
  }
}
