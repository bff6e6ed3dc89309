import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { expect, it } from 'vitest'
import { LETTER_WIDTHS } from '../../src/notebook/draw.ts'

/** Advance width of each printable ASCII letter of a TrueType font, thousandths of an em (OpenType: cmap format 4, hmtx). */
function advances(font: Buffer): number[] {
  const tables = new Map(
    Array.from({ length: font.readUInt16BE(4) }, (_, i) => {
      const at = 12 + 16 * i
      return [font.toString('latin1', at, at + 4), font.readUInt32BE(at + 8)] as const
    }),
  )
  const start = (name: string): number => tables.get(name)!
  const unitsPerEm = font.readUInt16BE(start('head') + 18)
  const longMetrics = font.readUInt16BE(start('hhea') + 34)
  const cmap = start('cmap')
  const format4 = Array.from(
    { length: font.readUInt16BE(cmap + 2) },
    (_, i) => cmap + font.readUInt32BE(cmap + 4 + 8 * i + 4),
  ).find((at) => font.readUInt16BE(at) === 4)!
  const segments = font.readUInt16BE(format4 + 6) / 2
  const word = (list: number, i: number): number =>
    font.readUInt16BE(format4 + 14 + 2 * (list * segments + i))
  const glyphOf = (code: number): number => {
    const i = Array.from({ length: segments }, (_, s) => s).find((s) => word(0, s) >= code)!
    // Between the ends and the starts lies a word of padding.
    const [from, delta] = [
      font.readUInt16BE(format4 + 16 + 2 * (segments + i)),
      font.readUInt16BE(format4 + 16 + 2 * (2 * segments + i)),
    ]
    const rangeAt = format4 + 16 + 2 * (3 * segments + i)
    const range = font.readUInt16BE(rangeAt)
    return range === 0 ? (code + delta) & 0xffff : font.readUInt16BE(rangeAt + range + 2 * (code - from))
  }
  return Array.from({ length: 95 }, (_, i) => {
    const glyph = Math.min(glyphOf(32 + i), longMetrics - 1)
    return Math.round((1000 * font.readUInt16BE(start('hmtx') + 4 * glyph)) / unitsPerEm)
  })
}

it('are those of Arimo, which is made to the widths of the common sans serif (SIL OFL; hmtx table of the font itself)', () => {
  const path = createRequire(import.meta.url).resolve(
    '@expo-google-fonts/arimo/400Regular/Arimo_400Regular.ttf',
  )
  expect(LETTER_WIDTHS).toHaveLength(95)
  expect(LETTER_WIDTHS).toEqual(advances(readFileSync(path)))
})
