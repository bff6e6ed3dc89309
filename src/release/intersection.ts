/** What two releases of overlapping caseloads give away when they are laid side by side. */
export interface IntersectionRisk {
  readonly peopleBefore: number
  readonly peopleNow: number
  /** People with the same pseudonym in both: they can be joined outright. */
  readonly joined: number
  /**
   * People of this release who are new in a class to which fewer than k came: whoever knows that somebody joined the
   * clinic since knows them to be among these few.
   */
  readonly newInSmallGroups: number
  /** People of the earlier release who left a class that fewer than k left. */
  readonly goneInSmallGroups: number
  /** Joined people whose classes in the two releases, taken together, hold fewer than k. */
  readonly joinedBelowK: number
  readonly warning: string | null
}

/** A person row: pseudonym and released values. */
export interface ReleasedPerson {
  readonly person: string
  readonly values: readonly string[]
}

const classKey = (p: ReleasedPerson): string => JSON.stringify(p.values)

function countBy(people: readonly ReleasedPerson[]): Map<string, number> {
  const counts = new Map<string, number>()
  for (const p of people) counts.set(classKey(p), (counts.get(classKey(p)) ?? 0) + 1)
  return counts
}

/** Sum of the differences, class by class, that are above 0 and below k. */
function smallDifferences(
  from: ReadonlyMap<string, number>,
  to: ReadonlyMap<string, number>,
  k: number,
): number {
  let people = 0
  for (const [key, count] of to) {
    const more = count - (from.get(key) ?? 0)
    if (more > 0 && more < k && from.has(key)) people += more
  }
  return people
}

/** Compares the people tables of two releases. */
export function intersectionRisk(
  before: readonly ReleasedPerson[],
  now: readonly ReleasedPerson[],
  k: number,
): IntersectionRisk {
  const was = new Map(before.map((p) => [p.person, p]))
  const joined = now.filter((p) => was.has(p.person))
  const together = new Map<string, number>()
  const pairKey = (p: ReleasedPerson): string => JSON.stringify([was.get(p.person)!.values, p.values])
  for (const p of joined) together.set(pairKey(p), (together.get(pairKey(p)) ?? 0) + 1)
  const joinedBelowK = joined.filter((p) => together.get(pairKey(p))! < k).length
  const newInSmallGroups = smallDifferences(countBy(before), countBy(now), k)
  const goneInSmallGroups = smallDifferences(countBy(now), countBy(before), k)
  const told = [
    joined.length > 0
      ? `${joined.length} people have the same pseudonym in both releases, so their rows can be joined`
      : '',
    joinedBelowK > 0
      ? `${joinedBelowK} of them stand, in both classes together, in a group smaller than ${k}`
      : '',
    newInSmallGroups > 0 ? `${newInSmallGroups} people are new in groups to which fewer than ${k} came` : '',
    goneInSmallGroups > 0 ? `${goneInSmallGroups} people left groups that fewer than ${k} left` : '',
  ].filter(Boolean)
  return {
    peopleBefore: before.length,
    peopleNow: now.length,
    joined: joined.length,
    newInSmallGroups,
    goneInSmallGroups,
    joinedBelowK,
    warning: told.length > 0 ? `Laid side by side with the earlier release: ${told.join('; ')}.` : null,
  }
}
