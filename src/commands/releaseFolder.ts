import { existsSync } from 'node:fs'
import { rename, rm } from 'node:fs/promises'
import { join, resolve } from 'node:path'
import { UserError } from '../errors.ts'
import { cannotWrite, makeFolder, removeLeftovers, temporaryName, writeWhole } from '../files.ts'
import type { ReleaseFile } from '../release/index.ts'

/** @throws UserError where something stands under the name of the release already */
export function refuseExisting(folder: string): void {
  if (existsSync(folder))
    throw new UserError(
      `${folder} is there already. A release is written whole: name a folder that does not exist.`,
      { exitCode: 2 },
    )
}

/** Characters that are made bytes at a time: those of a long text at once would be as much memory again. */
const PIECE = 1_000_000

/** A long text in pieces that end with a line, so that no character is cut in two. */
function* piecesOf(content: string): Generator<string> {
  for (let from = 0; from < content.length; ) {
    const end = content.indexOf('\n', from + PIECE)
    const until = end < 0 ? content.length : end + 1
    yield content.slice(from, until)
    from = until
  }
}

/** The whole folder appears at once under its name, for its owner alone, or not at all. */
export async function writeFolder(folder: string, files: readonly ReleaseFile[]): Promise<void> {
  refuseExisting(folder)
  const waiting = temporaryName(resolve(folder))
  try {
    await makeFolder(waiting)
    await writeWhole(
      files.map(({ name, content }) => ({
        path: join(waiting, name),
        content: typeof content === 'string' ? piecesOf(content) : content,
      })),
    )
    await rename(waiting, folder)
  } catch (error) {
    await rm(waiting, { recursive: true, force: true }).catch(() => {})
    // Named by the folder that was asked for, not by the hidden one.
    throw cannotWrite(folder, error instanceof UserError ? (error.cause ?? error) : error)
  }
  await removeLeftovers([resolve(folder)])
}
