import { chmod, type FileHandle, lstat, mkdir, open } from 'node:fs/promises'
import { join } from 'node:path'
import { writeWhole } from '../../files.ts'
import type { Loaded } from '../loadFolder.ts'
import {
  decodeEntry,
  type EntryKey,
  FIRST_LINE_BYTES,
  type FirstLine,
  readFirstLine,
  readKey,
} from './entry.ts'

/** Folder beside the exports; hidden, so that it is never read as an export. */
export const CACHE_FOLDER = '.waneline-cache'
const ENTRY = 'records'
const OWNER_ONLY_FOLDER = 0o700
const OTHERS = 0o077

/** Tells backup programs what this is, and keeps it out of version control. */
const LABELS: Readonly<Record<string, string>> = {
  'CACHEDIR.TAG':
    'Signature: 8a477f597d28d172789f06886806bc55\n# Records that waneline read from the exports beside this folder. The same personal data as there; safe to delete.\n',
  '.gitignore': '*\n',
}

/** The one entry of a folder, opened: its key, and what it holds for whoever finds the key right. */
export interface OpenedEntry {
  readonly key: EntryKey
  /** Null where the bytes are not those that were written. */
  readonly load: () => Promise<Loaded | null>
  readonly close: () => Promise<void>
}

/** Null where there is none, where it is damaged, and where another person could have written it. */
export async function openEntry(folder: string): Promise<OpenedEntry | null> {
  let handle: FileHandle | null = null
  try {
    if (!(await isOurs(join(folder, CACHE_FOLDER)))) return null
    handle = await open(join(folder, CACHE_FOLDER, ENTRY), 'r')
    const entry = await entryOf(handle)
    if (entry === null) await handle.close()
    return entry
  } catch {
    await handle?.close().catch(() => {})
    return null
  }
}

async function entryOf(handle: FileHandle): Promise<OpenedEntry | null> {
  const { size, uid, mode } = await handle.stat()
  if (!mayBeBelieved(uid, mode) || size < FIRST_LINE_BYTES) return null
  const first = readFirstLine(await bytesAt(handle, 0, FIRST_LINE_BYTES))
  if (first === null || FIRST_LINE_BYTES + first.keyBytes + first.restBytes !== size) return null
  const keyBytes = await bytesAt(handle, FIRST_LINE_BYTES, first.keyBytes)
  const key = readKey(keyBytes)?.key
  if (key === undefined) return null
  return { key, load: () => contentOf(handle, first, keyBytes), close: () => handle.close() }
}

async function contentOf(handle: FileHandle, first: FirstLine, keyBytes: Uint8Array): Promise<Loaded | null> {
  try {
    return decodeEntry(
      first,
      keyBytes,
      await bytesAt(handle, FIRST_LINE_BYTES + first.keyBytes, first.restBytes),
    )
  } catch {
    return null
  }
}

/** @throws Error where the file is shorter */
async function bytesAt(handle: FileHandle, from: number, length: number): Promise<Uint8Array<ArrayBuffer>> {
  const bytes = new Uint8Array(length)
  let done = 0
  while (done < length) {
    const { bytesRead } = await handle.read(bytes, done, Math.min(length - done, 2 ** 30), from + done)
    if (bytesRead === 0) throw new Error('The entry ends too early.')
    done += bytesRead
  }
  return bytes
}

/** A real folder, not a link, that belongs to whoever runs this and that nobody else may enter. */
async function isOurs(path: string): Promise<boolean> {
  const found = await lstat(path)
  return found.isDirectory() && mayBeBelieved(found.uid, found.mode)
}

/** Whoever can write an entry can put figures into a report, so another person's are not believed. */
const mayBeBelieved = (uid: number, mode: number): boolean =>
  process.getuid === undefined || (uid === process.getuid() && (mode & OTHERS) === 0)

/**
 * Puts an entry in the place of the one before, whole or not at all.
 * @throws Error where that cannot be done with the rights that it needs
 */
export async function writeEntry(folder: string, pieces: readonly Uint8Array[]): Promise<void> {
  const path = join(folder, CACHE_FOLDER)
  const made = await mkdir(path, { mode: OWNER_ONLY_FOLDER }).then(
    () => true,
    (cause: NodeJS.ErrnoException) => {
      if (cause.code === 'EEXIST') return false
      throw cause
    },
  )
  const found = await lstat(path)
  if (!found.isDirectory()) throw new Error(`${path} is no folder`)
  if (process.getuid !== undefined && found.uid !== process.getuid())
    throw new Error(`${path} belongs to another person`)
  await chmod(path, OWNER_ONLY_FOLDER)
  if (!(await isOurs(path))) throw new Error(`${path} cannot be kept for its owner alone`)
  const labels = made ? Object.entries(LABELS) : []
  await writeWhole([
    ...labels.map(([name, content]) => ({ path: join(path, name), content })),
    { path: join(path, ENTRY), content: pieces },
  ])
}
