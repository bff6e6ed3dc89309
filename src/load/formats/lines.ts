import { MAX_JSON_RECORD_BYTES } from './limits.ts'

const LF = 0x0a

/** One line that is not blank. */
export interface Line {
  /** Its bytes without the line end; only the beginning where it is too long. Valid until the next is asked for. */
  readonly bytes: Uint8Array
  /** The physical line, from 1. */
  readonly number: number
  readonly tooLong: boolean
}

/** The lines of a stream that are not blank, each held only while it is looked at. */
export async function* nonBlankLines(chunks: AsyncIterable<Uint8Array>): AsyncGenerator<Line[]> {
  let number = 1
  let pieces: Uint8Array[] = []
  let held = 0
  const hold = (piece: Uint8Array): void => {
    if (held < MAX_JSON_RECORD_BYTES) pieces.push(piece.slice(0, MAX_JSON_RECORD_BYTES - held))
    held += piece.length
  }
  const take = (last: Uint8Array): Line => {
    if (held === 0) return { bytes: last, number, tooLong: last.length > MAX_JSON_RECORD_BYTES }
    hold(last)
    const line = { bytes: Buffer.concat(pieces), number, tooLong: held > MAX_JSON_RECORD_BYTES }
    pieces = []
    held = 0
    return line
  }
  for await (const chunk of chunks) {
    const lines: Line[] = []
    let start = 0
    for (;;) {
      const end = chunk.indexOf(LF, start)
      if (end < 0) break
      const line = take(chunk.subarray(start, end))
      if (!isBlank(line.bytes)) lines.push(line)
      number++
      start = end + 1
    }
    if (start < chunk.length) hold(chunk.subarray(start))
    if (lines.length > 0) yield lines
  }
  if (held > 0) {
    const line = take(new Uint8Array(0))
    if (!isBlank(line.bytes)) yield [line]
  }
}

/** Spaces, tabs and stray byte-order marks only. */
function isBlank(bytes: Uint8Array): boolean {
  for (let i = 0; i < bytes.length; i++) {
    const byte = bytes[i]
    if (byte === 0x20 || byte === 0x09 || byte === 0x0d || byte === 0x0b || byte === 0x0c) continue
    if (byte !== 0xef || bytes[i + 1] !== 0xbb || bytes[i + 2] !== 0xbf) return false
    i += 2
  }
  return true
}
