import type { Rule } from '../../records/index.ts'

/** What an interpreter makes of one text: a value, or the rule it breaks. Blank never reaches an interpreter. */
export type Reading<T> = { readonly value: T } | { readonly rule: Rule }

export const read = <T>(value: T): Reading<T> => ({ value })
export const unreadableNumber: Reading<never> = { rule: 'unreadable_number' }
export const unreadableDate: Reading<never> = { rule: 'unreadable_date' }
export const unknownValue: Reading<never> = { rule: 'unknown_value' }

/** A longer text is no date, time, number or length, and might be made to be slow to look through. */
export const isTooLong = (text: string): boolean => text.length > 200

/** A word as it is looked up: no room around it, one space between words, lower case. */
export const plainWord = (text: string): string => text.trim().replace(/\s+/g, ' ').toLowerCase()

/** A code in words: `heart_rhythm`, `Heart rhythm`, `heart-rhythm` are one. */
export const codeWord = (text: string): string => plainWord(text.replace(/[_-]+/g, ' '))

/** A reader of one closed list of codes, understood as codes and in words, with everyday words beside them. */
export function wordReader<T extends string>(
  codes: readonly T[],
  alsoSaid: Readonly<Record<string, T>> = {},
): (text: string) => Reading<T> {
  const known = new Map<string, T>(Object.entries(alsoSaid))
  for (const code of codes) known.set(codeWord(code), code)
  return (text) => {
    const value = known.get(codeWord(text))
    return value === undefined ? unknownValue : { value }
  }
}
