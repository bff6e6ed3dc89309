import type { Hierarchy } from './hierarchy.ts'
import {
  below,
  classesAt,
  compareTuples,
  lattice,
  type Profile,
  profilesOf,
  type Subject,
} from './lattice.ts'
import { columnLosses, totalLoss } from './loss.ts'
import { type GeneraliseOptions, nearest, type Unreachable } from './nearest.ts'

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

/** Two losses nearer than this are the same loss, reached by sums in another order. */
const TIE = 1e-12

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
  if (!best) return nearest(hierarchies, nodes, profiles, { k, l, maxSuppressed })
  return release(subjects, hierarchies, best, losses, profiles, nodes.length, counted)
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
