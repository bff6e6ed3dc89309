import type { Hierarchy } from './hierarchy.ts'
import { type Class, classesAt, type Profile } from './lattice.ts'

export interface GeneraliseOptions {
  /** Smallest class that may leave. */
  readonly k: number
  /** Fewest distinct sensitive values in a class. */
  readonly l: number
  /** Largest share of people that may be left out after generalising. */
  readonly maxSuppressed: number
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

/** What some node of the lattice reaches, where none does what was asked. */
export function nearest(
  hierarchies: readonly Hierarchy[],
  nodes: readonly { readonly levels: readonly number[] }[],
  profiles: readonly Profile[],
  { k, l, maxSuppressed }: GeneraliseOptions,
): Unreachable {
  const n = profiles.reduce((sum, p) => sum + p.count, 0)
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
