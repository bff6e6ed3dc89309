import type { Hierarchy } from './hierarchy.ts'

/** One person as the search sees them: finest values in the order of the hierarchies, and the sensitive value. */
export interface Subject {
  readonly finest: readonly string[]
  readonly sensitive: string
}

export interface GeneraliseOptions {
  /** Smallest class that may leave. */
  readonly k: number
  /** Fewest distinct sensitive values in a class. */
  readonly l: number
  /** Largest share of people that may be left out after generalising. */
  readonly maxSuppressed: number
}

export interface Generalisation {
  /** Level of each column. */
  readonly levels: readonly number[]
  /** Released values of each subject, null where the person is left out. */
  readonly values: readonly (readonly string[] | null)[]
  readonly suppressed: number
  /** 0 is everything as fine as it can be, 1 is nothing said: mean over people and columns, 1 for who is left out. */
  readonly loss: number
  readonly lossByColumn: readonly number[]
  /** Nodes of the lattice, and how many of them had to be counted. */
  readonly nodes: number
  readonly counted: number
}

/** What could be reached, where what was asked for could not. */
export interface Unreachable {
  readonly reachable: null
  /** The largest k, at the asked l, and largest l, at the asked k, that some node reaches; 0 where none does. */
  readonly bestK: number
  readonly bestL: number
  /** The smallest share that would have to be left out as asked. */
  readonly suppressedNeeded: number
}

/** Two losses nearer than this are the same loss, reached by sums in another order. */
const TIE = 1e-12

interface Profile {
  readonly finest: readonly string[]
  readonly sensitive: Map<string, number>
  count: number
}

/** Subjects with the same finest values are searched as one. Nested keys, since no separator is safe. */
function profilesOf(subjects: readonly Subject[]): Profile[] {
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

/**
 * Loss of each level of a column: the mean over people of (distinct finest values merged into theirs − 1) ÷
 * (distinct finest values − 1), the categorical form of Iyengar's loss metric (KDD 2002, section 3.2).
 */
function columnLosses(
  hierarchy: Hierarchy,
  column: number,
  profiles: readonly Profile[],
  n: number,
): number[] {
  const weight = new Map<string, number>()
  for (const p of profiles) weight.set(p.finest[column]!, (weight.get(p.finest[column]!) ?? 0) + p.count)
  return hierarchy.levels.map(({ of }) => {
    if (weight.size < 2) return 0
    const merged = new Map<string, { values: number; people: number }>()
    for (const [value, people] of weight) {
      const cell = merged.get(of(value)) ?? { values: 0, people: 0 }
      merged.set(of(value), { values: cell.values + 1, people: cell.people + people })
    }
    let loss = 0
    for (const { values, people } of merged.values()) loss += (people * (values - 1)) / (weight.size - 1)
    return loss / n
  })
}

/** Every combination of levels, in the order of their tuples. */
function lattice(sizes: readonly number[]): number[][] {
  return sizes.reduce<number[][]>(
    (nodes, size) => nodes.flatMap((node) => Array.from({ length: size }, (_, level) => [...node, level])),
    [[]],
  )
}

interface Class {
  count: number
  readonly sensitive: Set<string>
  readonly members: number[]
}

function classesAt(
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
const below = (a: readonly number[], b: readonly number[]): boolean => a.every((level, i) => level <= b[i]!)

/**
 * Full-domain generalisation with the least loss: of all nodes of the lattice at which at most `maxSuppressed` of the
 * people stand in classes smaller than k or with fewer than l sensitive values, the one that loses least, those
 * people then left out. Exact: nodes are visited by their generalisation loss, which bounds the total from below, and a
 * node is passed over only when it lies below one that already failed (k-anonymity and distinct l-diversity are
 * monotone up the lattice: Samarati, IEEE TKDE 2001, 13(6); Machanavajjhala et al., ACM TKDD 2007, 1(1), theorem 1).
 * Ties go to the smaller tuple of levels.
 *
 * @param subjects one entry a person
 * @returns the generalisation, or what could be reached instead
 */
export function generalise(
  subjects: readonly Subject[],
  hierarchies: readonly Hierarchy[],
  { k, l, maxSuppressed }: GeneraliseOptions,
): Generalisation | Unreachable {
  const n = subjects.length
  const profiles = profilesOf(subjects)
  const losses = hierarchies.map((h, c) => columnLosses(h, c, profiles, Math.max(n, 1)))
  const columns = Math.max(hierarchies.length, 1)
  const nodes = lattice(hierarchies.map((h) => h.levels.length))
    .map((levels) => ({
      levels,
      loss: levels.reduce((sum, level, c) => sum + losses[c]![level]!, 0) / columns,
    }))
    .sort((a, b) => a.loss - b.loss || compareTuples(a.levels, b.levels))
  const allowed = Math.floor(maxSuppressed * n + 1e-9)
  const failed: (readonly number[])[] = []
  let best: { levels: readonly number[]; total: number; left: Set<number> } | null = null
  let counted = 0
  for (const { levels, loss } of nodes) {
    if (best && loss > best.total + TIE) break
    if (failed.some((f) => below(levels, f))) continue
    counted++
    const left = classesAt(hierarchies, levels, profiles).filter((c) => c.count < k || c.sensitive.size < l)
    const leftCount = left.reduce((sum, c) => sum + c.count, 0)
    if (leftCount > allowed || (n > 0 && leftCount === n)) {
      failed.push(levels)
      continue
    }
    const leftProfiles = new Set(left.flatMap((c) => c.members))
    const total = totalLoss(hierarchies, levels, losses, profiles, leftProfiles, n)
    const tied = best !== null && Math.abs(total - best.total) <= TIE
    if (!best || (tied ? compareTuples(levels, best.levels) < 0 : total < best.total))
      best = { levels, total, left: leftProfiles }
  }
  if (!best) return nearest(subjects, hierarchies, nodes, profiles, { k, l, maxSuppressed })
  return release(subjects, hierarchies, best, losses, profiles, nodes.length, counted)
}

const compareTuples = (a: readonly number[], b: readonly number[]): number => {
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return a[i]! - b[i]!
  return 0
}

/** Loss of the kept at their level plus 1 for each person left out, as a mean over all. */
function totalLoss(
  hierarchies: readonly Hierarchy[],
  levels: readonly number[],
  losses: readonly (readonly number[])[],
  profiles: readonly Profile[],
  left: ReadonlySet<number>,
  n: number,
): number {
  if (n === 0) return 0
  const whole = levels.reduce((sum, level, c) => sum + losses[c]![level]!, 0) / hierarchies.length
  if (left.size === 0) return whole
  const perValue = hierarchies.map((h, c) => valueLosses(h, c, levels[c]!, profiles))
  let extra = 0
  for (const i of left) {
    const p = profiles[i]!
    const own = p.finest.reduce((sum, value, c) => sum + perValue[c]!.get(value)!, 0) / hierarchies.length
    extra += p.count * (1 - own)
  }
  return whole + extra / n
}

function valueLosses(
  h: Hierarchy,
  column: number,
  level: number,
  profiles: readonly Profile[],
): Map<string, number> {
  const finest = [...new Set(profiles.map((p) => p.finest[column]!))]
  const sizes = new Map<string, number>()
  for (const value of finest)
    sizes.set(h.levels[level]!.of(value), (sizes.get(h.levels[level]!.of(value)) ?? 0) + 1)
  return new Map(
    finest.map((value) => [
      value,
      finest.length < 2 ? 0 : (sizes.get(h.levels[level]!.of(value))! - 1) / (finest.length - 1),
    ]),
  )
}

function release(
  subjects: readonly Subject[],
  hierarchies: readonly Hierarchy[],
  best: { readonly levels: readonly number[]; readonly total: number; readonly left: ReadonlySet<number> },
  losses: readonly (readonly number[])[],
  profiles: readonly Profile[],
  nodes: number,
  counted: number,
): Generalisation {
  const left = new Set([...best.left].map((i) => JSON.stringify(profiles[i]!.finest)))
  const values = subjects.map(({ finest }) =>
    left.has(JSON.stringify(finest))
      ? null
      : finest.map((value, c) => hierarchies[c]!.levels[best.levels[c]!]!.of(value)),
  )
  return {
    levels: best.levels,
    values,
    suppressed: values.filter((v) => v === null).length,
    loss: best.total,
    lossByColumn: best.levels.map((level, c) => losses[c]![level]!),
    nodes,
    counted,
  }
}

function nearest(
  subjects: readonly Subject[],
  hierarchies: readonly Hierarchy[],
  nodes: readonly { readonly levels: readonly number[] }[],
  profiles: readonly Profile[],
  { k, l, maxSuppressed }: GeneraliseOptions,
): Unreachable {
  const n = subjects.length
  const allowed = Math.floor(maxSuppressed * n + 1e-9)
  let bestK = 0
  let bestL = 0
  let suppressedNeeded = 1
  for (const { levels } of nodes) {
    const classes = classesAt(hierarchies, levels, profiles)
    const left = classes
      .filter((c) => c.count < k || c.sensitive.size < l)
      .reduce((sum, c) => sum + c.count, 0)
    if (n > 0) suppressedNeeded = Math.min(suppressedNeeded, left / n)
    bestK = Math.max(
      bestK,
      reached(
        classes,
        (c) => c.count,
        (c) => c.sensitive.size >= l,
        allowed,
      ),
    )
    bestL = Math.max(
      bestL,
      reached(
        classes,
        (c) => c.sensitive.size,
        (c) => c.count >= k,
        allowed,
      ),
    )
  }
  return { reachable: null, bestK, bestL, suppressedNeeded }
}

/** The largest bound on `size` that leaves out at most `allowed` people, classes failing `holds` left out first. */
function reached(
  classes: readonly Class[],
  size: (c: Class) => number,
  holds: (c: Class) => boolean,
  allowed: number,
): number {
  let spare = allowed - classes.filter((c) => !holds(c)).reduce((sum, c) => sum + c.count, 0)
  if (spare < 0) return 0
  for (const c of classes.filter(holds).sort((a, b) => size(a) - size(b))) {
    if (c.count > spare) return size(c)
    spare -= c.count
  }
  return 0
}
