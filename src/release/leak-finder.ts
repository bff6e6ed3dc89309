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

type Found = Pick<Identifier, 'what' | 'inCellsOnly'>

/**
 * Identifiers made ready to be found as runs of whole tokens, whatever the case and the signs between them: one entry each
 * under its tokens, and of those of two tokens or more how many may follow which first one.
 */
export class IdentifierIndex {
  readonly #found = new Map<string, Found>()
  readonly #lengths = new Map<string, number[]>()

  constructor(identifiers: Iterable<Identifier>) {
    // One for all of a kind: there may be hundreds of thousands of identifiers.
    const kinds = new Map<string, Found>()
    for (const { what, text, inCellsOnly = false } of identifiers) {
      const all = tokens(text)
      if (all.length === 0) continue
      const kind = kinds.get(`${what}${inCellsOnly}`) ?? { what, inCellsOnly }
      kinds.set(`${what}${inCellsOnly}`, kind)
      const key = all.join(' ')
      const same = this.#found.get(key)
      if (same === undefined || (same.inCellsOnly && !inCellsOnly)) this.#found.set(key, kind)
      if (all.length > 1) this.#allow(all[0]!, all.length)
    }
  }

  #allow(first: string, length: number): void {
    const known = this.#lengths.get(first)
    if (known === undefined) this.#lengths.set(first, [length])
    else if (!known.includes(length)) known.push(length)
  }

  /** Finds what may not stand in this place. */
  finder(place: 'cells' | 'pages' = 'cells'): Finder {
    const at = (key: string): string | null => {
      const found = this.#found.get(key)
      return found === undefined || (place === 'pages' && found.inCellsOnly) ? null : found.what
    }
    const alone = (token: string, isWhole: boolean): string | null =>
      (place === 'pages' && !tellsInPages(token)) || (!isWhole && token.length < SHORTEST_INSIDE)
        ? null
        : at(token)
    return (text) => {
      const words = tokens(text)
      for (let i = 0; i < words.length; i++) {
        const what = alone(words[i]!, words.length === 1)
        if (what !== null) return what
        for (const length of this.#lengths.get(words[i]!) ?? []) {
          if (i + length > words.length) continue
          const run = at(words.slice(i, i + length).join(' '))
          if (run !== null) return run
        }
      }
      return null
    }
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
