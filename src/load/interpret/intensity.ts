import { type NumberOptions, readCount } from './number.ts'
import type { Reading } from './reading.ts'

/** The device's own level: a number, also with the word level before it (`level 3`). */
export const readIntensity = (text: string, options: NumberOptions = {}): Reading<number> =>
  readCount(text.replace(/^\s*(?:level|lvl\.?)\s+/i, ''), options)
