import { UserError } from '../../errors.ts'
import { checkedAsOf } from '../asOf.ts'
import { type Loaded, type LoadOptions, loadFolder } from '../loadFolder.ts'
import { type EntryKey, encodeEntry } from './entry.ts'
import { openEntry, writeEntry } from './entryFile.ts'
import { type FolderState, fingerprints, folderState, sameState } from './folderState.ts'
import { programDigest, setupDigest } from './setup.ts'

const LEAST_BYTES = 256 * 1024

export interface KeptLoadOptions extends LoadOptions {
  /** Told in a line why the records cannot be kept for the next run, where they cannot. */
  readonly onNotice?: ((text: string) => void) | undefined
  /** Folders of fewer bytes are read anew each time, which takes no longer. Default 256 KiB. */
  readonly leastBytes?: number | undefined
  /** Digest of the program that reads; the default is this one's. */
  readonly program?: string | undefined
}

/**
 * Reads a folder as {@link loadFolder} does, and keeps what came out in `.waneline-cache` beside the exports, so that the
 * next reading of the same content takes a fraction of the time. What is kept is used only if every file has the same SHA-256 as
 * then, and guide, options and program are the same; whatever is damaged or of another kind is read anew. Only the newest
 * reading is kept, for its owner alone. It holds the same personal data as the exports, and can be deleted at any time.
 *
 * @throws UserError as {@link loadFolder}; never because of the cache
 */
export async function loadKept(folder: string, options: KeptLoadOptions = {}): Promise<Loaded> {
  checkedAsOf(options.asOf)
  const { onNotice, leastBytes = LEAST_BYTES, program = programDigest(), ...load } = options
  const setup = program === null || load.asOf === undefined ? null : setupDigest(folder, load, program)
  if (setup === null) return loadFolder(folder, load)
  const state = await folderState(folder)
  if (state.files.reduce((sum, { bytes }) => sum + bytes, 0) < leastBytes) return loadFolder(folder, load)
  const kept = await find(folder, setup, state, load)
  if (kept !== null) return kept
  const loaded = await loadFolder(folder, load)
  const key = await keyOf(folder, setup, state, loaded)
  if (key === null || setupDigest(folder, load, program as string) !== setup) return loaded
  try {
    await writeEntry(folder, encodeEntry(key, loaded))
  } catch (error) {
    const cause = error instanceof UserError && error.cause instanceof Error ? error.cause : error
    const reason = cause instanceof Error ? cause.message : String(cause)
    onNotice?.(
      `The records are not kept for the next run, which will read the exports anew: ${reason}. --no-cache does without, and without this line.`,
    )
  }
  return loaded
}

/**
 * Digest of all that a reading depends on: program, options, guide and the bytes of every file.
 * @throws UserError where the folder or a file cannot be read
 */
export async function contentDigest(folder: string, options: LoadOptions): Promise<string> {
  const state = await folderState(folder)
  const setup = setupDigest(folder, options, programDigest() ?? '') ?? ''
  return parts({ ...unread(setup, state), sha256: await fingerprints(state, new Map(), undefined) })
}

/** What is kept of the folder as it now stands, or null. */
async function find(
  folder: string,
  setup: string,
  state: FolderState,
  { onProgress }: LoadOptions,
): Promise<Loaded | null> {
  const entry = await openEntry(folder)
  if (entry === null) return null
  try {
    // What can be seen without reading a file is compared first.
    const ready = { ...unread(setup, state), sha256: entry.key.sha256 }
    if (!sameKey(ready, entry.key)) return null
    const sha256 = await fingerprints(state, new Map(), onProgress)
    return sameKey({ ...ready, sha256 }, entry.key) ? await entry.load() : null
  } catch {
    // A file that cannot be read or that changes meanwhile: the reading itself says so.
    return null
  } finally {
    await entry.close()
  }
}

const unread = (setup: string, { files, notRead }: FolderState): Omit<EntryKey, 'sha256'> => ({
  setup,
  files: files.map(({ file, bytes }) => [file, bytes]),
  notRead: notRead.map(({ file, reason }) => [file, reason]),
})

const parts = ({ setup, files, notRead, sha256 }: EntryKey): string =>
  JSON.stringify([setup, files, notRead, sha256])
const sameKey = (a: EntryKey, b: EntryKey): boolean => parts(a) === parts(b)

/** The key of what was just read; null where a file could not be read, or the folder did not stay as it was. */
async function keyOf(
  folder: string,
  setup: string,
  before: FolderState,
  { sources }: Loaded,
): Promise<EntryKey | null> {
  try {
    const read = new Map(sources.map(({ file, sha256 }) => [file, sha256]))
    const sha256 = await fingerprints(before, read, undefined)
    return sameState(before, await folderState(folder)) ? { ...unread(setup, before), sha256 } : null
  } catch {
    return null
  }
}
