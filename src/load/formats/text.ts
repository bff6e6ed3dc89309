import { isUtf8 } from 'node:buffer'
import { TextDecoder } from 'node:util'

/**
 * Windows-1252 for bytes 0x80 to 0x9F (WHATWG Encoding, index-windows-1252); the other bytes are their own code
 * points. Node 20's own decoder gives control characters here, so curly quotes and the euro sign would be lost.
 */
const WINDOWS_1252_HIGH =
  '\u20ac\u0081\u201a\u0192\u201e\u2026\u2020\u2021\u02c6\u2030\u0160\u2039\u0152\u008d\u017d\u008f' +
  '\u0090\u2018\u2019\u201c\u201d\u2022\u2013\u2014\u02dc\u2122\u0161\u203a\u0153\u009d\u017e\u0178'

/** Text of bytes as Windows-1252: every byte is a character, so nothing is ever lost. */
export function decodeWindows1252(bytes: Uint8Array): string {
  return Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength)
    .toString('latin1')
    .replace(/[\u0080-\u009f]/g, (character) => WINDOWS_1252_HIGH[character.charCodeAt(0) - 0x80] as string)
}

/** Text of bytes that ought to be UTF-8; what is not is read as Windows-1252 rather than lost. */
export function decodeText(bytes: Uint8Array): { readonly text: string; readonly utf8: boolean } {
  const text = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString('utf8')
  if (!text.includes('\ufffd') || isUtf8(bytes)) return { text, utf8: true }
  return { text: decodeWindows1252(bytes), utf8: false }
}

/** The same chunks as UTF-8 where a byte-order mark says they are UTF-16; otherwise just as they come. */
export async function* utf8Chunks(chunks: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  let decoder: TextDecoder | null | undefined
  let held: Uint8Array = new Uint8Array(0)
  for await (const next of chunks) {
    const chunk = held.length > 0 ? Buffer.concat([held, next]) : next
    if (decoder === undefined && chunk.length < 2) {
      held = chunk.slice()
      continue
    }
    held = new Uint8Array(0)
    if (decoder === undefined) decoder = utf16Decoder(chunk)
    yield decoder === null ? chunk : Buffer.from(decoder.decode(chunk, { stream: true }))
  }
  if (held.length > 0) yield held
  if (decoder) yield Buffer.from(decoder.decode())
}

function utf16Decoder(head: Uint8Array): TextDecoder | null {
  if (head[0] === 0xff && head[1] === 0xfe) return new TextDecoder('utf-16le')
  if (head[0] === 0xfe && head[1] === 0xff) return new TextDecoder('utf-16be')
  return null
}
