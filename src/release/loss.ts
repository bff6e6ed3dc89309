import type { Hierarchy } from './hierarchy.ts'
import type { Profile } from './lattice.ts'

/**
 * Loss of each level of a column: the mean over people of (distinct finest values merged into theirs − 1) ÷
 * (distinct finest values − 1), the categorical form of Iyengar's loss metric (KDD 2002, section 3.2).
 */
export function columnLosses(
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

/** Loss of the kept at their level plus 1 for each person left out, as a mean over all. */
export function totalLoss(
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
