import { open } from 'node:fs/promises'
import { UserError } from '../../errors.ts'
import { MAX_WHOLE_FILE_BYTES } from './limits.ts'

const CHUNK_BYTES = 1024 * 1024

/** Where a reader takes bytes from: a file on disk, a member of an archive, an unpacked stream. */
export interface Source {
  /** The name that problems and remarks give it: path under the folder that was read, with `/`. */
  readonly file: string
  /** The bytes in order, in pieces; may be asked for again, and begins anew. A piece is valid until the next is asked for. */
  readonly chunks: () => AsyncIterable<Uint8Array>
  /** A file on disk that may be read in several places at once. */
  readonly onDisk?: {
    readonly path: string
    readonly bytes: number
    /** Told how many bytes have been read, for a display of progress. */
    readonly onBytes: (bytes: number) => void
    /** Told that all was read, but not through {@link Source.chunks}: whoever takes a fingerprint has to do so by itself. */
    readonly readElsewhere: () => void
  }
}

/** A file on disk, which must stay as it is until it has been read. */
export function fileSource(path: string, file: string): Source {
  return { file, chunks: () => fileChunks(path, file) }
}

/** The disk, and not what a file holds, is at fault: a reading without that file would be a part taken for the whole. */
export class UnreadableFile extends UserError {}

export const changedWhileRead = (file: string): UserError =>
  new UnreadableFile(`${file} changed while it was read. Read again once whatever writes it has finished.`)

/** What a person is told of an error of the file system; null where it is none. */
export function unreadable(file: string, cause: unknown): UserError | null {
  const code = cause instanceof Error && 'code' in cause && 'syscall' in cause ? String(cause.code) : null
  if (code === null) return null
  const told =
    code === 'ENOENT'
      ? `${file} vanished while the folder was read. Read again once whatever moves it has finished.`
      : code === 'EACCES' || code === 'EPERM'
        ? `${file} cannot be read (${code}). Give yourself the right to read it, or move it out of the folder.`
        : `${file} cannot be read (${code}). See to the disk it lies on, or move it out of the folder.`
  return new UnreadableFile(told, { cause })
}

async function* fileChunks(path: string, file: string): AsyncGenerator<Uint8Array> {
  const handle = await open(path, 'r')
  try {
    const before = await handle.stat({ bigint: true })
    let total = 0n
    const buffer = new Uint8Array(CHUNK_BYTES)
    for (;;) {
      const { bytesRead } = await handle.read(buffer, 0, CHUNK_BYTES)
      if (bytesRead === 0) break
      total += BigInt(bytesRead)
      yield buffer.subarray(0, bytesRead)
    }
    const after = await handle.stat({ bigint: true })
    if (total !== before.size || after.size !== before.size || after.mtimeNs !== before.mtimeNs)
      throw changedWhileRead(file)
  } finally {
    await handle.close()
  }
}

/** Bytes that are already here. */
export function memorySource(file: string, bytes: Uint8Array): Source {
  return {
    file,
    chunks: async function* () {
      for (let at = 0; at < bytes.length; at += CHUNK_BYTES) yield bytes.subarray(at, at + CHUNK_BYTES)
    },
  }
}

/** The first bytes, at most `length`, for telling formats apart. */
export async function headOf(source: Source, length: number): Promise<Uint8Array> {
  const pieces: Uint8Array[] = []
  let total = 0
  for await (const chunk of source.chunks()) {
    pieces.push(chunk.slice())
    total += chunk.length
    if (total >= length) break
  }
  return Buffer.concat(pieces).subarray(0, length)
}

/**
 * All bytes at once.
 * @throws UserError when there are more than `limit`
 */
export async function allBytes(source: Source, limit = MAX_WHOLE_FILE_BYTES): Promise<Uint8Array> {
  const pieces: Uint8Array[] = []
  let total = 0
  for await (const chunk of source.chunks()) {
    total += chunk.length
    if (total > limit)
      throw new UserError(
        `${source.file} is larger than the ${limit} bytes that are read at once. Export it in parts, or as CSV or NDJSON.`,
      )
    pieces.push(chunk.slice())
  }
  return pieces.length === 1 ? (pieces[0] as Uint8Array) : Buffer.concat(pieces)
}
