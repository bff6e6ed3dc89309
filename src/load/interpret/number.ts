import { type Reading, read, unreadableNumber } from './reading.ts'

export interface NumberOptions {
  /** Decimal mark. `comma` comes from the guide only; a point is read beside it where it cannot part thousands. */
  readonly decimal?: 'point' | 'comma'
}

const POINT = /^[+-]?(?:\d+\.?\d*|\.\d+)$/
const COMMA = /^[+-]?(?:\d+,?\d*|,\d+)$/
const THOUSANDS = /^[+-]?\d{1,3}(?:\.\d{3})+$/
const FRACTIONS: Readonly<Record<string, string>> = { '½': '.5', '¼': '.25', '¾': '.75' }

/** A plain number: sign, digits, one decimal mark. No thousands, no exponent, no unit, no doubt (`~15`, `10-12`, `30?`). */
export function readNumber(text: string, options: NumberOptions = {}): Reading<number> {
  const word = text.trim().replace(/^−/, '-')
  const mixed = /^(\d*)([½¼¾])$/.exec(word)
  if (mixed) return read(Number((mixed[1] || '0') + (FRACTIONS[mixed[2] as string] as string)))
  if (options.decimal === 'comma') {
    if (COMMA.test(word)) return finite(word.replace(',', '.'))
    if (THOUSANDS.test(word)) return unreadableNumber
  }
  return POINT.test(word) ? finite(word) : unreadableNumber
}

/** A number too long to be held is none. */
function finite(word: string): Reading<number> {
  const value = Number(word)
  return Number.isFinite(value) ? read(value) : unreadableNumber
}

/** As {@link readNumber}, but nothing below zero. */
export function readCount(text: string, options: NumberOptions = {}): Reading<number> {
  const reading = readNumber(text, options)
  return 'value' in reading && reading.value < 0 ? unreadableNumber : reading
}
