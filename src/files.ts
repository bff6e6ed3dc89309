import { randomBytes } from 'node:crypto'
import { chmod, lstat, mkdir, open, readdir, rename, rm, stat } from 'node:fs/promises'
import { basename, dirname, join, resolve } from 'node:path'
import { UserError } from './errors.ts'

const OWNER_ONLY_FILE = 0o600
const OWNER_ONLY_FOLDER = 0o700

/** A file to be written; a content may be given in pieces. */
export interface FileToWrite {
  readonly path: string
  readonly content: string | Uint8Array | Iterable<string | Uint8Array>
}

/**
 * Writes files so that each is there whole or not at all: all of them are written under temporary names in their
 * final folders, flushed, and only then renamed. Readable by their owner only. Folders are made where missing. What runs
 * that were killed left under temporary names in these folders is removed once it is an hour old.
 *
 * @throws UserError naming the path when a folder or file cannot be written; nothing new is left behind
 */
export async function writeWhole(files: readonly FileToWrite[]): Promise<void> {
  const pending: { readonly temporary: string; readonly path: string }[] = []
  let where = files[0]?.path ?? '(no file)'
  try {
    for (const file of files) {
      where = file.path
      await makeFolder(dirname(file.path))
      await refuseFolder(file.path)
      const temporary = temporaryName(file.path)
      pending.push({ temporary, path: file.path })
      await writePieces(temporary, file.content)
    }
    for (const { temporary, path } of pending) {
      where = path
      await rename(temporary, path)
      await chmod(path, OWNER_ONLY_FILE)
    }
  } catch (cause) {
    await Promise.all(pending.map(({ temporary }) => rm(temporary, { force: true }).catch(() => {})))
    throw cannotWrite(where, cause)
  }
  await removeLeftovers(files.map(({ path }) => path))
}

/** A name beside the final one, hidden, that no other run has. */
export const temporaryName = (path: string): string =>
  join(dirname(path), `.${basename(path)}.${randomBytes(6).toString('hex')}.part`)

async function writePieces(path: string, content: FileToWrite['content']): Promise<void> {
  const handle = await open(path, 'wx', OWNER_ONLY_FILE)
  try {
    const pieces = typeof content === 'string' || content instanceof Uint8Array ? [content] : content
    for (const piece of pieces) await handle.writeFile(piece)
    await handle.sync()
  } finally {
    await handle.close()
  }
}

/** A rename would find out too late, when other files of the set have their names already. */
async function refuseFolder(path: string): Promise<void> {
  const found = await lstat(path).catch(() => null)
  if (found?.isDirectory()) throw Object.assign(new Error('a folder has that name'), { code: 'EISDIR' })
}

/**
 * Makes a folder and those it lies in, for their owner alone. Step by step and not by the platform's own recursion, which
 * never ends where a file system has no place for folders (/proc, seen in Node 20).
 *
 * @throws the file system's error
 */
export async function makeFolder(folder: string): Promise<void> {
  const missing: string[] = []
  for (let at = resolve(folder); ; at = dirname(at)) {
    const found = await stat(at).catch((cause: NodeJS.ErrnoException) => {
      if (cause.code === 'ENOENT' && dirname(at) !== at) return null
      throw cause
    })
    if (found?.isDirectory()) break
    if (found) throw Object.assign(new Error(`${at} is a file`), { code: 'ENOTDIR' })
    missing.push(at)
  }
  for (const path of missing.reverse())
    await mkdir(path, { mode: OWNER_ONLY_FOLDER }).catch((cause: NodeJS.ErrnoException) => {
      // Made by another run meanwhile.
      if (cause.code !== 'EEXIST') throw cause
    })
}

const LEFTOVER = /^\.(.+)\.[0-9a-f]{12}\.part$/
/** Longer than any run takes between the first byte of a file and its name. */
const LEFTOVER_AFTER_MS = 3_600_000

/** Removes what killed runs left of these files and folders under temporary names. What cannot be removed stays. */
export async function removeLeftovers(paths: readonly string[]): Promise<void> {
  const names = new Set(paths.map((path) => basename(path)))
  for (const folder of new Set(paths.map((path) => dirname(path)))) {
    const entries = await readdir(folder).catch(() => [])
    for (const entry of entries) {
      const name = LEFTOVER.exec(entry)?.[1]
      if (name === undefined || !names.has(name)) continue
      const found = await lstat(join(folder, entry)).catch(() => null)
      if (found && Date.now() - found.mtimeMs > LEFTOVER_AFTER_MS)
        await rm(join(folder, entry), { recursive: true, force: true }).catch(() => {})
    }
  }
}

const ADVICE: Readonly<Record<string, string>> = {
  ENOSPC: 'The disk is full: make room there, or choose another --out folder',
  EDQUOT: 'Your share of the disk is full: make room there, or choose another --out folder',
  EFBIG: 'Files there may not grow so large: choose another --out folder',
  EROFS: 'Nothing can be written to that disk: choose another --out folder',
  EACCES: 'You have no right to write there: choose another --out folder or give yourself the right',
  EPERM: 'You have no right to write there: choose another --out folder or give yourself the right',
  ENOENT: 'No folder can be made there: choose another --out folder',
  ENOTDIR: 'What should be a folder is a file: choose another --out folder',
  ENOTEMPTY: 'Another run has made it meanwhile: choose another --out folder',
  EISDIR: 'Move it away, or choose another --out folder',
}

/** The error for a path that cannot be written: what happened, what to do, and that nothing was lost. */
export function cannotWrite(path: string, cause: unknown): UserError {
  const reason = cause instanceof Error ? cause.message : String(cause)
  const code = cause instanceof Error && 'code' in cause ? String(cause.code) : ''
  const advice = ADVICE[code] ?? 'Choose another --out folder or make this one writable'
  return new UserError(`Cannot write ${path}: ${reason}. ${advice}. No file was left half written.`, {
    cause,
  })
}
