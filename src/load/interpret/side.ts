import type { Side } from '../../records/index.ts'
import { isTooLong, plainWord, type Reading, unknownValue } from './reading.ts'

/** A side, or both: one line for each. */
export type SideReading = Side | 'both'

const KNOWN: Readonly<Record<string, SideReading>> = {
  l: 'left',
  lt: 'left',
  left: 'left',
  'left side': 'left',
  r: 'right',
  rt: 'right',
  right: 'right',
  'right side': 'right',
  m: 'midline',
  mid: 'midline',
  midline: 'midline',
  'mid line': 'midline',
  'mid-line': 'midline',
  both: 'both',
  'both sides': 'both',
  bilateral: 'both',
  bilat: 'both',
  'l+r': 'both',
  'l/r': 'both',
  'l&r': 'both',
  'r+l': 'both',
  'r/l': 'both',
  'left and right': 'both',
  'left + right': 'both',
  'l + r': 'both',
  'l & r': 'both',
  'l and r': 'both',
}

/** `L`, `Lt.`, `(R)`, `left side`, `mid`, `both`, `L+R` in any case. A doubt (`L?`) is not read. */
export function readSide(text: string): Reading<SideReading> {
  if (isTooLong(text)) return unknownValue
  const word = plainWord(text)
  const bare = (/^\((.*)\)$/.exec(word)?.[1] ?? word)
    .replace(/[\s-]+(?:side|sided|hand side)$/, '')
    .replace(/\.$/, '')
  return Object.hasOwn(KNOWN, bare) ? { value: KNOWN[bare] as SideReading } : unknownValue
}
