import { Readable } from 'node:stream'
import { createGunzip } from 'node:zlib'
import { UserError } from '../../errors.ts'
import { FREE_UNPACKED_BYTES, MAX_UNPACK_RATIO, MAX_UNPACKED_BYTES } from './limits.ts'
import type { Source } from './source.ts'

export const isGzip = (head: Uint8Array): boolean => head[0] === 0x1f && head[1] === 0x8b

/** The text inside a gzip file, unpacked as it is asked for. The name loses its `.gz` only for telling the format. */
export function gunzipped(source: Source): Source {
  return { file: source.file, chunks: () => unpackedChunks(source) }
}

async function* unpackedChunks(source: Source): AsyncGenerator<Uint8Array> {
  let packed = 0
  let unpacked = 0
  const counted = async function* () {
    for await (const chunk of source.chunks()) {
      packed += chunk.length
      yield chunk.slice()
    }
  }
  const input = Readable.from(counted(), { objectMode: false, highWaterMark: 1 << 20 })
  const gunzip = createGunzip({ chunkSize: 1 << 18 })
  let failed: unknown = null
  input.on('error', (error) => {
    failed = error
    gunzip.destroy(error)
  })
  input.pipe(gunzip)
  try {
    for await (const chunk of gunzip as AsyncIterable<Uint8Array>) {
      unpacked += chunk.length
      requireHonestSize(source.file, packed, unpacked)
      yield chunk
    }
  } catch (error) {
    if (error instanceof UserError) throw error
    if (failed instanceof UserError) throw failed
    throw new UserError(
      `${source.file} is damaged: its gzip data cannot be unpacked after ${unpacked} bytes. Export or copy it again.`,
      { cause: error },
    )
  } finally {
    input.destroy()
    gunzip.destroy()
  }
}

/** @throws UserError when so much comes out of so little that it is a bomb, or simply too much to read */
export function requireHonestSize(file: string, packed: number, unpacked: number): void {
  if (unpacked > MAX_UNPACKED_BYTES)
    throw new UserError(
      `${file} unpacks to more than ${MAX_UNPACKED_BYTES} bytes, the most that is read. Unpack it and split it.`,
    )
  if (unpacked > FREE_UNPACKED_BYTES && unpacked > packed * MAX_UNPACK_RATIO)
    throw new UserError(
      `${file} unpacks to more than ${MAX_UNPACK_RATIO} times its size, which no real export does. It was not read; ask where it comes from.`,
    )
}
