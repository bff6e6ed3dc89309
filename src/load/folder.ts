import { createHash } from 'node:crypto'
import { statSync } from 'node:fs'
import { readdir, realpath, stat } from 'node:fs/promises'
import { join, sep } from 'node:path'
import { UserError } from '../errors.ts'
import type { Fingerprint } from './fingerprintWorker.ts'
import { changedWhileRead, fileSource, type Source, unreadable } from './formats/source.ts'
import { inThread } from './thread.ts'

/** A file to be read. */
export interface FoundFile {
  /** Path under the folder, with `/`. */
  readonly file: string
  readonly path: string
  readonly bytes: number
}

/** Something in the folder that is not read, and why. */
export interface NotRead {
  readonly file: string
  readonly reason: string
  /** No figure lacks anything for want of it: it is empty, or the reading guide says that it holds nothing to read. */
  readonly harmless?: true
}

/** A reading guide's usual names. */
export const GUIDE_FILES: readonly string[] = ['guide.yaml', 'guide.yml']
const MOST_FILES = 100_000

/**
 * The files of a folder and its subfolders, by path. Hidden files are left alone; links are not followed, so nothing
 * outside the folder is read and nothing twice.
 *
 * @throws UserError where there is no such folder or nothing in it
 */
export async function listFolder(folder: string): Promise<{ files: FoundFile[]; notRead: NotRead[] }> {
  const root = await realpath(folder).catch((cause) => {
    throw new UserError(`There is no folder "${folder}". Give the folder that holds the exports.`, { cause })
  })
  if (!(await stat(root)).isDirectory())
    throw new UserError(`"${folder}" is a file. Give the folder that holds it.`)
  const files: FoundFile[] = []
  const notRead: NotRead[] = []
  const walk = async (under: string): Promise<void> => {
    const entries = await readdir(join(root, under), { withFileTypes: true }).catch((cause) => {
      throw new UserError(
        `The folder "${under || folder}" cannot be opened (${String(cause.code)}). Give yourself the right to read it.`,
        { cause },
      )
    })
    for (const entry of entries) {
      const file = under === '' ? entry.name : `${under}/${entry.name}`
      if (entry.name.startsWith('.') || entry.name.startsWith('~$')) continue
      if (entry.isDirectory()) await walk(file)
      else if (entry.isSymbolicLink())
        notRead.push({ file, reason: await linkReason(root, join(root, file)) })
      else if (!entry.isFile()) notRead.push({ file, reason: 'is no file' })
      else if (isGuide(file)) {
        if (!GUIDE_FILES.includes(file))
          notRead.push({
            file,
            reason: 'is no export; a reading guide is guide.yaml in the folder itself, or named with --guide',
          })
      } else {
        const { size } = await stat(join(root, file)).catch((cause) => {
          throw unreadable(file, cause) ?? cause
        })
        files.push({ file, path: join(root, file), bytes: size })
      }
      if (files.length > MOST_FILES)
        throw new UserError(
          `"${folder}" holds more than ${MOST_FILES} files. Give the folder of the exports alone.`,
        )
    }
  }
  await walk('')
  files.sort((a, b) => (a.file < b.file ? -1 : 1))
  if (files.length === 0)
    throw new UserError(
      `The folder "${folder}" holds no file to read. Put the exports into it.${notRead.map((n) => ` ${n.file}: ${n.reason}.`).join('')}`,
    )
  return { files, notRead }
}

const isGuide = (file: string): boolean => /\.ya?ml$/i.test(file)

async function linkReason(root: string, path: string): Promise<string> {
  const target = await realpath(path).catch(() => null)
  if (target === null) return 'is a link to nothing'
  return target === root || target.startsWith(root + sep)
    ? 'is a link; what it leads to is read where it is'
    : 'is a link out of the folder, which is not followed. Copy the file here if it belongs'
}

/** A file whose fingerprint is taken while it is read, or straight after where threads read it. */
export class CountedSource implements Source {
  readonly file: string
  private readonly source: Source
  private readonly onBytes: (bytes: number) => void
  private digest: string | null = null
  private beside: Promise<string | null> | null = null
  readonly onDisk: NonNullable<Source['onDisk']>

  constructor(found: FoundFile, onBytes: (bytes: number) => void) {
    this.file = found.file
    this.source = fileSource(found.path, found.file)
    this.onBytes = onBytes
    const { path, bytes } = found
    this.onDisk = { path, bytes, onBytes, readElsewhere: () => this.readElsewhere() }
  }

  private readElsewhere(): void {
    this.beside = this.fingerprintBeside()
    // A failure is met by whoever asks for the fingerprint.
    this.beside.catch(() => {})
  }

  chunks = (): AsyncIterable<Uint8Array> => this.counted()

  private async *counted(): AsyncGenerator<Uint8Array> {
    const hash = this.digest === null ? createHash('sha256') : null
    let bytes = 0
    try {
      for await (const chunk of this.source.chunks()) {
        hash?.update(chunk)
        bytes += chunk.length
        this.onBytes(bytes)
        yield chunk
      }
      // It may have grown since the folder was listed, before it was opened.
      if (bytes !== this.onDisk.bytes) throw changedWhileRead(this.file)
    } catch (cause) {
      throw unreadable(this.file, cause) ?? cause
    }
    this.digest ??= hash?.digest('hex') ?? null
  }

  /** Takes the fingerprint in a thread of its own, beside what is done next; null where the thread could not. */
  private async fingerprintBeside(): Promise<string | null> {
    const { path, bytes } = this.onDisk
    const { mtimeNs } = statSync(path, { bigint: true })
    const found = await inThread<Fingerprint>(import.meta.url, 'fingerprintWorker', path).catch(() => null)
    if (found === null) return null
    const after = await stat(path, { bigint: true })
    if (found.bytes !== bytes || after.mtimeNs !== mtimeNs) throw changedWhileRead(this.file)
    return found.sha256
  }

  /** SHA-256 of the whole file. */
  async sha256(): Promise<string> {
    try {
      this.digest ??= await this.beside
    } catch (cause) {
      throw unreadable(this.file, cause) ?? cause
    }
    if (this.digest === null) for await (const _ of this.counted());
    return this.digest as unknown as string
  }
}
