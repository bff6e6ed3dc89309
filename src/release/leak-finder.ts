import type { Identifier } from './identifiers.ts'

/** What is found in a text, or null. */
export type Finder = (text: string) => string | null

/** A text as whole tokens, so that `SM-12` is found in "(SM-12)" and not in "SM-120". */
const tokens = (text: string): string[] => text.toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? []

/** Shorter than this, a word or number stands for nobody inside other words ("Group A", "Site 2"), only as a whole cell. */
const SHORTEST_INSIDE = 3
/** In a page of ours a bare number is a figure unless it has so many digits. */
const SHORTEST_NUMBER_IN_PAGES = 6

/**
 * Whether one token alone may be sought in our own pages. A name such as "May" stands rightly in an English sentence, so
 * of single tokens only those that mix letters and digits, and long numbers, tell.
 */
const tellsInPages = (token: string): boolean =>
  /^\d+$/.test(token) ? token.length >= SHORTEST_NUMBER_IN_PAGES : token.length > 2 && /\d/.test(token)

/**
 * Finds identifiers in texts as runs of whole tokens, whatever the case and the signs between them.
 * Built once for many texts: identifiers are looked up by their first token.
 */
export function leakFinder(identifiers: Iterable<Identifier>, place: 'cells' | 'pages' = 'cells'): Finder {
  const byFirst = new Map<string, { readonly rest: readonly string[]; readonly what: string }[]>()
  const whole = new Map<string, string>()
  for (const { what, text, inCellsOnly } of identifiers) {
    const [first, ...rest] = tokens(text)
    if (first === undefined || (place === 'pages' && inCellsOnly)) continue
    if (rest.length === 0) {
      if (place === 'pages' && !tellsInPages(first)) continue
      whole.set(first, what)
      if (first.length < SHORTEST_INSIDE) continue
    }
    const same = byFirst.get(first)
    if (same) same.push({ rest, what })
    else byFirst.set(first, [{ rest, what }])
  }
  return (text) => {
    const words = tokens(text)
    if (words.length === 1 && whole.has(words[0]!)) return whole.get(words[0]!)!
    for (let i = 0; i < words.length; i++)
      for (const { rest, what } of byFirst.get(words[i]!) ?? [])
        if (rest.every((token, j) => words[i + 1 + j] === token)) return what
    return null
  }
}

/** The same texts come back in many rows. */
export function remembering(find: Finder): Finder {
  const seen = new Map<string, string | null>()
  return (text) => {
    let found = seen.get(text)
    if (found === undefined) {
      found = find(text)
      if (seen.size < 100_000) seen.set(text, found)
    }
    return found
  }
}
