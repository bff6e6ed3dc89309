import type { Encoding } from '../../guide/guide.ts'

const SAMPLE_BYTES = 4096

/** What the first bytes prove about the encoding; UTF-8 (with Windows-1252 for what is none) where they prove nothing. */
export function recognisedEncoding(head: Uint8Array): Encoding {
  if (head[0] === 0xff && head[1] === 0xfe) return 'utf-16le'
  if (head[0] === 0xfe && head[1] === 0xff) return 'utf-16be'
  const length = Math.min(SAMPLE_BYTES, head.length & ~1)
  let evenZero = 0
  let oddZero = 0
  for (let i = 0; i < length; i += 2) {
    if (head[i] === 0) evenZero++
    if (head[i + 1] === 0) oddZero++
  }
  const pairs = length / 2
  if (pairs >= 4 && oddZero > pairs * 0.7 && evenZero < pairs * 0.05) return 'utf-16le'
  if (pairs >= 4 && evenZero > pairs * 0.7 && oddZero < pairs * 0.05) return 'utf-16be'
  return 'utf-8'
}

/** The same text as UTF-8 bytes. Windows-1252 passes unchanged: it is decoded value by value. */
export async function* asUtf8(
  chunks: AsyncIterable<Uint8Array>,
  encoding: Encoding,
): AsyncGenerator<Uint8Array> {
  if (encoding !== 'utf-16le' && encoding !== 'utf-16be') {
    yield* chunks
    return
  }
  const decoder = new TextDecoder(encoding, { ignoreBOM: true })
  for await (const chunk of chunks) yield Buffer.from(decoder.decode(chunk, { stream: true }), 'utf8')
  yield Buffer.from(decoder.decode(), 'utf8')
}
