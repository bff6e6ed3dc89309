import type { Client } from '../records/index.ts'

/**
 * How one column may be coarsened: level 0 is the column as it would be released at its finest, each further level
 * is coarser, the last says nothing. A level maps a finest value to what is released; a coarser level may only merge
 * values, never split them, which {@link checkHierarchy} makes sure of.
 */
export interface Hierarchy {
  readonly column: string
  readonly levels: readonly { readonly name: string; readonly of: (finest: string) => string }[]
}

/** What is released where nothing is said. */
export const WITHHELD = '*'
/** A value that is not known is a value of its own. */
export const NOT_KNOWN = 'not known'

const nothing = { name: 'withheld', of: () => WITHHELD }
const asItStands = { name: 'as recorded', of: (x: string) => x }

/**
 * The finest age that leaves: completed months under 3 years, completed years to 89, then "90 and over"
 * (the age rule of 45 CFR 164.514(b)(2)(i)(C); following it is no claim of Safe Harbor).
 */
export function finestAge(months: number | null): string {
  if (months === null || !(months >= 0)) return NOT_KNOWN
  if (months < 36) return `${Math.floor(months)} months`
  const years = Math.floor(months / 12)
  return years >= 90 ? '90 and over' : `${years} years`
}

/** Completed years of a finest age, for banding. */
function yearsOf(finest: string): number | null {
  const m = /^(\d+) (months|years)$/.exec(finest)
  if (m) return m[2] === 'months' ? Math.floor(Number(m[1]) / 12) : Number(m[1])
  return finest === '90 and over' ? 90 : null
}

/** Age bands from their lower bounds in years: [0, 3, 18] gives "0 to 2 years", "3 to 17 years", "18 years and over". */
export function ageBands(lowerBounds: readonly number[]): (finest: string) => string {
  const bounds = [...lowerBounds].sort((a, b) => a - b)
  return (finest) => {
    const years = yearsOf(finest)
    if (years === null) return finest
    const at = bounds.findLastIndex((b) => b <= years)
    if (at < 0) return `under ${bounds[0]} years`
    const low = bounds[at] as number
    const high = bounds[at + 1]
    return high === undefined
      ? `${low} years and over`
      : high - low === 1
        ? `${low} years`
        : `${low} to ${high - 1} years`
  }
}

/** Lower bounds, in completed years, of the age bands at each level above the finest; each level's are among those of the one below. */
const AGE_BAND_LEVELS: readonly (readonly number[])[] = [
  [0, 1, 2, 3, 6, 9, 12, 15, 18, 25, 35, 45, 55, 65, 75, 90],
  [0, 3, 6, 12, 18, 45, 65],
  [0, 3, 18],
  [0, 18],
]

/** What a clinic may set: the age bands, and which of its own words go together at the middle level. */
export interface HierarchySettings {
  readonly age_bands?: readonly (readonly number[])[] | undefined
  /** Released word for each group of the clinic's own group words. */
  readonly groups?: Readonly<Record<string, readonly string[]>> | undefined
  readonly sites?: Readonly<Record<string, readonly string[]>> | undefined
}

function merging(merged: Readonly<Record<string, readonly string[]>>): (x: string) => string {
  const wordOf = new Map(
    Object.entries(merged).flatMap(([word, members]) => members.map((m) => [m, word] as const)),
  )
  return (x) => wordOf.get(x) ?? x
}

const wordLevels = (merged: Readonly<Record<string, readonly string[]>> | undefined): Hierarchy['levels'] =>
  merged ? [asItStands, { name: 'merged', of: merging(merged) }, nothing] : [asItStands, nothing]

/** The four columns by which a person might be known, and how each is coarsened. The one place where this is said. */
export function hierarchies(settings: HierarchySettings = {}): readonly Hierarchy[] {
  const bands = settings.age_bands ?? AGE_BAND_LEVELS
  return [
    {
      column: 'age_band',
      levels: [
        { name: 'months under 3 years, years above', of: (x) => x },
        ...bands.map((bounds) => ({ name: `bands from ${bounds.join(', ')} years`, of: ageBands(bounds) })),
        nothing,
      ],
    },
    { column: 'sex', levels: [asItStands, nothing] },
    { column: 'group', levels: wordLevels(settings.groups) },
    { column: 'site_group', levels: wordLevels(settings.sites) },
  ]
}

/** The finest value of each column of {@link hierarchies} for a client. */
export const finestValues = (client: Client, ageMonths: number | null): readonly string[] => [
  finestAge(ageMonths),
  client.sex ?? NOT_KNOWN,
  client.group ?? NOT_KNOWN,
  client.site ?? NOT_KNOWN,
]

/**
 * A level that tells apart what the level below it merged would make the search wrong.
 * @returns the sentence that says where, or null when every level only merges
 */
export function checkHierarchy({ column, levels }: Hierarchy, finest: readonly string[]): string | null {
  for (let level = 1; level < levels.length; level++) {
    const above = new Map<string, string>()
    for (const value of finest) {
      const below = levels[level - 1]!.of(value)
      const here = levels[level]!.of(value)
      const before = above.get(below)
      if (before !== undefined && before !== here)
        return `Column ${column}: level ${level} (${levels[level]!.name}) splits "${below}" into "${before}" and "${here}". A coarser level may only merge.`
      above.set(below, here)
    }
  }
  return null
}
