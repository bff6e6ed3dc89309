import type { Hierarchy } from './hierarchy.ts'

/** One person as the search sees them: finest values in the order of the hierarchies, and the sensitive value. */
export interface Subject {
  readonly finest: readonly string[]
  readonly sensitive: string
}

export interface Profile {
  readonly finest: readonly string[]
  readonly sensitive: Map<string, number>
  count: number
}

/** Subjects with the same finest values are searched as one. Nested keys, since no separator is safe. */
export function profilesOf(subjects: readonly Subject[]): Profile[] {
  const found = new Map<string, Profile>()
  for (const { finest, sensitive } of subjects) {
    const key = JSON.stringify(finest)
    let profile = found.get(key)
    if (!profile) {
      profile = { finest, sensitive: new Map(), count: 0 }
      found.set(key, profile)
    }
    profile.count++
    profile.sensitive.set(sensitive, (profile.sensitive.get(sensitive) ?? 0) + 1)
  }
  return [...found.values()]
}

/** Every combination of levels, in the order of their tuples. */
export function lattice(sizes: readonly number[]): number[][] {
  return sizes.reduce<number[][]>(
    (nodes, size) => nodes.flatMap((node) => Array.from({ length: size }, (_, level) => [...node, level])),
    [[]],
  )
}

export interface Class {
  count: number
  readonly sensitive: Set<string>
  readonly members: number[]
}

export function classesAt(
  hierarchies: readonly Hierarchy[],
  levels: readonly number[],
  profiles: readonly Profile[],
): Class[] {
  const maps = hierarchies.map((h, c) => h.levels[levels[c]!]!.of)
  const classes = new Map<string, Class>()
  profiles.forEach((p, i) => {
    const key = JSON.stringify(p.finest.map((value, c) => maps[c]!(value)))
    let cell = classes.get(key)
    if (!cell) {
      cell = { count: 0, sensitive: new Set(), members: [] }
      classes.set(key, cell)
    }
    cell.count += p.count
    for (const s of p.sensitive.keys()) cell.sensitive.add(s)
    cell.members.push(i)
  })
  return [...classes.values()]
}

/** True where node `a` is nowhere coarser than node `b`. */
export const below = (a: readonly number[], b: readonly number[]): boolean =>
  a.every((level, i) => level <= b[i]!)

export const compareTuples = (a: readonly number[], b: readonly number[]): number => {
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return a[i]! - b[i]!
  return 0
}
