import { randomBytes } from 'node:crypto'
import { existsSync } from 'node:fs'
import { mkdir, rename, rm } from 'node:fs/promises'
import { basename, dirname, join, resolve } from 'node:path'
import { UserError } from '../errors.ts'
import { writeWhole } from '../files.ts'
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
  const name = basename(resolve(folder))
  const waiting = join(dirname(resolve(folder)), `.${name}.${randomBytes(6).toString('hex')}.part`)
  try {
    await mkdir(waiting, { recursive: true, mode: 0o700 })
    await writeWhole(files.map((file) => ({ path: join(waiting, file.name), content: file.content })))
    await rename(waiting, folder)
  } catch (error) {
    await rm(waiting, { recursive: true, force: true })
    if (error instanceof UserError) throw error
    throw new UserError(`Cannot write ${folder}: ${error instanceof Error ? error.message : error}`, {
      cause: error,
    })
  }
}
