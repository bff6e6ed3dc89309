import { CONSENTS, type Consent } from '../../records/index.ts'
import { plainWord, type Reading, wordReader } from './reading.ts'

const YES: ReadonlySet<string> = new Set(['yes', 'y', 'x', 'done', 'true', '✓', '✔', '☑', '✅', '√'])
const NO: ReadonlySet<string> = new Set(['no', 'n', '-', '–', '—', '0', 'false', '✗', '✘', '☐', '❌'])

const readConsentWord = wordReader(CONSENTS, { y: 'yes', n: 'no', true: 'yes', false: 'no' })

/** Consent to research: yes, no, unknown. */
export const readConsent = (text: string): Reading<Consent> => readConsentWord(text)

/**
 * A tick in a diary: true is "done", false is "not done", null is neither (a number, a remark). The guide's marks come first; the
 * everyday ones stay understood beside them.
 */
export function readTick(
  text: string,
  words: { readonly done?: readonly string[]; readonly notDone?: readonly string[] } = {},
): boolean | null {
  const word = plainWord(text)
  if (words.notDone?.some((w) => plainWord(w) === word)) return false
  if (words.done?.some((w) => plainWord(w) === word)) return true
  if (NO.has(word)) return false
  if (YES.has(word)) return true
  return null
}
