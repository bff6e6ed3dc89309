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

/** The whole folder appears at once under its name, for its owner alone, or not at all. */
export async function writeFolder(folder: string, files: readonly ReleaseFile[]): Promise<void> {
  refuseExisting(folder)
  const waiting = temporaryName(resolve(folder))
  try {
    await makeFolder(waiting)
    await writeWhole(files.map((file) => ({ path: join(waiting, file.name), content: file.content })))
    await rename(waiting, folder)
  } catch (error) {
    await rm(waiting, { recursive: true, force: true }).catch(() => {})
    // Named by the folder that was asked for, not by the hidden one.
    throw cannotWrite(folder, error instanceof UserError ? (error.cause ?? error) : error)
  }
  await removeLeftovers([resolve(folder)])
}
