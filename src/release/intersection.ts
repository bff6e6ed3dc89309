import type { ReleasedPerson } from './earlier-release.ts'
import { people } from './words.ts'

/** What two releases of overlapping caseloads give away when they are laid side by side. */
export interface IntersectionRisk {
  readonly peopleBefore: number
  readonly peopleNow: number
  /** People with the same pseudonym in both: they can be joined outright. */
  readonly joined: number
  /**
   * People of the earlier release whose scores stand, all of them, with exactly one person of this one: they can be joined
   * whatever their pseudonyms.
   */
  readonly joinedByScores: number
  /**
   * People of this release who are new in a class to which fewer than k came: whoever knows that somebody joined the
   * clinic since knows them to be among these few.
   */
  readonly newInSmallGroups: number
  /** People of the earlier release who left a class that fewer than k left. */
  readonly goneInSmallGroups: number
  /** People joined, by pseudonym or scores, whose classes in the two releases, taken together, hold fewer than k. */
  readonly joinedBelowK: number
  readonly warning: string
}

const classKey = (p: ReleasedPerson): string => JSON.stringify(p.values)

function countsOf<T>(items: readonly T[], keyOf: (item: T) => string): Map<string, number> {
  const counts = new Map<string, number>()
  for (const item of items) counts.set(keyOf(item), (counts.get(keyOf(item)) ?? 0) + 1)
  return counts
}

/** Sum of the differences, class by class, that are above 0 and below k; classes that one release lacks count as empty. */
function smallDifferences(
  from: ReadonlyMap<string, number>,
  to: ReadonlyMap<string, number>,
  k: number,
): number {
  let people = 0
  for (const [key, count] of to) {
    const more = count - (from.get(key) ?? 0)
    if (more > 0 && more < k) people += more
  }
  return people
}

/** "The nth time that this score stands with the person": so that two equal scores ask for two. */
function numbered(scores: readonly string[]): string[] {
  const seen = new Map<string, number>()
  return scores.map((score) => {
    seen.set(score, (seen.get(score) ?? 0) + 1)
    return `${seen.get(score)} ${score}`
  })
}

/** For each person of the earlier release the only person of this one who has all their scores, where there is one. */
function joinByScores(
  before: readonly ReleasedPerson[],
  now: readonly ReleasedPerson[],
): Map<string, ReleasedPerson> {
  const holders = new Map<string, Set<number>>()
  now.forEach((p, i) => {
    for (const score of numbered(p.scores)) {
      const all = holders.get(score) ?? new Set()
      holders.set(score, all.add(i))
    }
  })
  const none: ReadonlySet<number> = new Set()
  const joined = new Map<string, ReleasedPerson>()
  for (const { person, scores } of before) {
    const sets = numbered(scores)
      .map((score) => holders.get(score) ?? none)
      .sort((a, b) => a.size - b.size)
    const [rarest, ...rest] = sets
    if (!rarest) continue
    const fits = [...rarest].filter((i) => rest.every((set) => set.has(i)))
    if (fits.length === 1) joined.set(person, now[fits[0]!]!)
  }
  return joined
}

/** Compares two releases. Where they share people it always warns: with or without the same pseudonyms. */
export function intersectionRisk(
  before: readonly ReleasedPerson[],
  now: readonly ReleasedPerson[],
  k: number,
): IntersectionRisk {
  const byPseudonym = new Map(now.map((p) => [p.person, p]))
  const byScores = joinByScores(before, now)
  const pairs = before.flatMap((was) => {
    const is = byPseudonym.get(was.person) ?? byScores.get(was.person)
    return is ? [JSON.stringify([was.values, is.values])] : []
  })
  const together = countsOf(pairs, (key) => key)
  const was = countsOf(before, classKey)
  const is = countsOf(now, classKey)
  // Where the two were coarsened otherwise, no class is in both and their differences say nothing.
  const alike = [...is.keys()].some((key) => was.has(key))
  const found = {
    peopleBefore: before.length,
    peopleNow: now.length,
    joined: before.filter((p) => byPseudonym.has(p.person)).length,
    joinedByScores: byScores.size,
    newInSmallGroups: alike ? smallDifferences(was, is, k) : 0,
    goneInSmallGroups: alike ? smallDifferences(is, was, k) : 0,
    joinedBelowK: pairs.filter((key) => together.get(key)! < k).length,
  }
  return { ...found, warning: warningOf(found, k) }
}

function warningOf(r: Omit<IntersectionRisk, 'warning'>, k: number): string {
  const told = [
    r.joined > 0
      ? `${people(r.joined, 'has', 'have')} the same pseudonym in both releases, so their rows can be joined`
      : 'no pseudonym stands in both',
    r.joinedByScores > 0
      ? `${people(r.joinedByScores)} of the earlier release can be joined by scores alone, whatever the pseudonyms`
      : 'nobody can be joined by all their scores',
    r.joinedBelowK > 0
      ? `${people(r.joinedBelowK)} so joined ${r.joinedBelowK === 1 ? 'stands' : 'stand'}, in both classes together, in a group smaller than ${k}`
      : '',
    r.newInSmallGroups > 0
      ? `${people(r.newInSmallGroups, 'is', 'are')} new in groups to which fewer than ${k} came`
      : '',
    r.goneInSmallGroups > 0 ? `${people(r.goneInSmallGroups)} left groups that fewer than ${k} left` : '',
  ].filter(Boolean)
  return `Laid side by side with the earlier release of ${people(r.peopleBefore)}: ${told.join('; ')}. Whoever holds both knows more than either report says.`
}
