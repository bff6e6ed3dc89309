import { shareUnique } from './sequence.ts'
import type { ReleasedRow } from './tables.ts'

/**
 * What the raters' pseudonyms give away: of the people whose scores leave, the share who are alone in their class with the
 * set of raters who scored them. Whoever knows age, sex, group, site and who scored finds these for certain, since raters
 * can be told apart by whom they scored; and where a rater works at one site, the pseudonym tells a withheld site.
 */
export const aloneByRaters = (people: readonly ReleasedRow[], withheld: ReadonlySet<string>): number =>
  shareUnique(
    people
      .filter((p) => !withheld.has(p.pseudonym))
      .map((p) => JSON.stringify([p.released, p.person.raters])),
  )
