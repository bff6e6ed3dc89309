import { randomBytes } from 'node:crypto'
import { chmod, mkdir, open, rename, rm } from 'node:fs/promises'
import { basename, dirname, join } from 'node:path'
import { UserError } from './errors.ts'

const OWNER_ONLY_FILE = 0o600
const OWNER_ONLY_FOLDER = 0o700

/**
 * Writes files so that each is there whole or not at all: all of them are written under temporary names in their
 * final folders, flushed, and only then renamed. Readable by their owner only. Folders are made where missing.
 *
 * @param files final path and content; a content may be given in pieces
 * @throws UserError naming the path when a folder or file cannot be written; nothing new is left behind
 */
export async function writeWhole(
  files: readonly {
    readonly path: string
    readonly content: string | Uint8Array | Iterable<string | Uint8Array>
  }[],
): Promise<void> {
  const pending: { readonly temporary: string; readonly path: string }[] = []
  try {
    for (const { path, content } of files) {
      await mkdir(dirname(path), { recursive: true, mode: OWNER_ONLY_FOLDER })
      const temporary = join(dirname(path), `.${basename(path)}.${randomBytes(6).toString('hex')}.part`)
      pending.push({ temporary, path })
      const handle = await open(temporary, 'wx', OWNER_ONLY_FILE)
      try {
        const pieces = typeof content === 'string' || content instanceof Uint8Array ? [content] : content
        for (const piece of pieces) await handle.writeFile(piece)
        await handle.sync()
      } finally {
        await handle.close()
      }
    }
    for (const { temporary, path } of pending) {
      await rename(temporary, path)
      await chmod(path, OWNER_ONLY_FILE)
    }
  } catch (cause) {
    await Promise.all(pending.map(({ temporary }) => rm(temporary, { force: true })))
    const where = pending.at(-1)?.path ?? files[0]?.path ?? '(no file)'
    const reason = cause instanceof Error ? cause.message : String(cause)
    throw new UserError(
      `Cannot write ${where}: ${reason}. Choose another --out folder or make this one writable.`,
      {
        cause,
      },
    )
  }
}
