import { type Sequence, sequenceKey, uniqueOnes } from './sequence.ts'
import type { TimeUnit } from './time-units.ts'
import { twoVisitRisks } from './two-visit-risk.ts'

const byPerson = (a: Sequence, b: Sequence): number => (a.person < b.person ? -1 : 1)

/** How many of the unique must go, one by one, until those that are left are at most the share of those that stay. */
function surplusOf(alone: number, shown: number, maxUnique: number): number {
  let out = 0
  while (out < alone && alone - out > maxUnique * (shown - out)) out++
  return out
}

/**
 * Whom to withhold so that few enough are found for certain: each of `certain` who is shown, and for each who is the only one
 * withheld in their class the shown person of the class whose risk is the largest, to be withheld with them.
 */
function sheltering(
  certain: readonly Sequence[],
  shown: readonly Sequence[],
  out: ReadonlySet<string>,
  riskOf: ReadonlyMap<string, number>,
): string[] {
  return certain.flatMap((s) => {
    if (!out.has(s.person)) return s.person
    const company = shown
      .filter((other) => other.personClass === s.personClass)
      .sort((a, b) => riskOf.get(b.person)! - riskOf.get(a.person)! || byPerson(a, b))
    return company[0]?.person ?? []
  })
}

/**
 * People whose scores must not leave in this unit, so that at most `maxUnique` of those shown are unique by their sequence
 * and at most as many of all are found for certain by class and two visits. Who is withheld is hidden only among the
 * withheld of the class, and leaves fewer for the others to hide among, so it is done in rounds, each measured anew. It ends:
 * every round withholds somebody, and where a whole class is withheld its people are as alike as their rows.
 * People are taken in order of pseudonym, which under a fresh secret is chance.
 */
export function withhold(sequences: readonly Sequence[], unit: TimeUnit, maxUnique: number): Set<string> {
  const out = new Set<string>()
  const allowed = Math.floor(maxUnique * sequences.length + 1e-9)
  const sizeOf = new Map<string, number>()
  for (const { personClass } of sequences) sizeOf.set(personClass, (sizeOf.get(personClass) ?? 0) + 1)
  for (;;) {
    const risks = twoVisitRisks(sequences, unit, out)
    const certain = sequences.filter((_, i) => risks[i] === 1).sort(byPerson)
    const shown = sequences.filter((s) => !out.has(s.person))
    // Those found for certain first: withholding them serves both ends.
    const isCertain = new Set(certain)
    const flags = uniqueOnes(shown.map((s) => sequenceKey(s, unit)))
    const alone = shown
      .filter((_, i) => flags[i])
      .sort((a, b) => Number(isCertain.has(b)) - Number(isCertain.has(a)) || byPerson(a, b))
    const before = out.size
    const surplus = surplusOf(alone.length, shown.length, maxUnique)
    for (const s of alone.slice(0, surplus)) out.add(s.person)
    if (surplus === 0) {
      const riskOf = new Map(sequences.map((s, i) => [s.person, risks[i]!]))
      // Who is a class of their own is known by their row, whatever is withheld.
      const helped = certain.filter((s) => sizeOf.get(s.personClass)! > 1)
      const over = helped.slice(0, Math.max(0, certain.length - allowed))
      for (const person of sheltering(over, shown, out, riskOf)) out.add(person)
    }
    if (out.size === before) return out
  }
}
