import { deflateSync, strToU8 } from 'fflate'

/**
 * Text that a page carries for its script, deflated (RFC 1951) and in base64: 521 kB of runtime come down to 250 kB, and
 * cost the browser nothing before they are wanted. The same text gives the same bytes on every machine.
 */
export const packed = (text: string): string =>
  Buffer.from(deflateSync(strToU8(text), { level: 6 })).toString('base64')

/** A block of data in a page: no browser runs it. Base64 holds nothing that could end it. */
export const packedBlock = (id: string, text: string, attributes = ''): string =>
  `<script type="application/x-waneline" id="${id}"${attributes}>${packed(text)}</script>`
