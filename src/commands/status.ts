import { basename } from 'node:path'
import { printable } from './printable.ts'

/**
 * Does a long piece of work and says on a terminal what it is at, in one line of standard error that is gone at the end;
 * elsewhere nothing is said.
 *
 * @param path the notebook
 * @param work told a function that changes the line
 */
export async function withStatus<T>(
  path: string,
  work: (status: (doing: string) => void) => Promise<T>,
  onTerminal = process.stderr.isTTY === true,
  write: (text: string) => void = (text) => void process.stderr.write(text),
): Promise<T> {
  const name = printable(basename(path))
  try {
    return await work((doing) => {
      if (onTerminal) write(`\r${name}: ${doing} ...\x1b[K`)
    })
  } finally {
    if (onTerminal) write('\r\x1b[K')
  }
}
