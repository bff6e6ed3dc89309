import { DAYS_PER_MONTH } from '../records/index.ts'
import type { Sequence } from './longitudinal.ts'
import { inUnits, monthsInUnits, type TimeUnit } from './time-units.ts'

/** Two visits of one person: the units in which they fall, and the whole months between them. */
interface Pair {
  readonly key: string
  readonly monthsApart: number
}

function pairsOf(s: Sequence, unit: TimeUnit): Pair[] {
  const days = [...s.days].sort((a, b) => a - b)
  const key = (...units: number[]): string => JSON.stringify([s.personClass, ...units])
  if (days.length === 1) return [{ key: key(inUnits(days[0]!, unit)), monthsApart: 0 }]
  return days.flatMap((first, i) =>
    days.slice(i + 1).map((second) => ({
      key: key(inUnits(first, unit), inUnits(second, unit)),
      monthsApart: Math.floor((second - first) / DAYS_PER_MONTH),
    })),
  )
}

/** What a person's rows would be found under: every pair of their visits, and every visit alone. */
function fitsOf(s: Sequence, unit: TimeUnit): Set<string> {
  const alone = s.days.map((day) => JSON.stringify([s.personClass, inUnits(day, unit)]))
  return new Set([...pairsOf(s, unit).map((p) => p.key), ...alone])
}

/**
 * The chance that somebody picks each person's row who knows that the person is in the tables, their class (so also
 * whoever knows age in months, sex and site), and two of their visits to the day, with their place after the start.
 * The worst pair of each person counts. Rows that fit have visits in both units, two where the units are one, and were
 * followed for at least as long as the visits lie apart. Of somebody whose scores are withheld nothing fits: whoever finds no
 * row that does is left with the withheld people of the class, so their risk is 1 ÷ the number of those.
 * Without a visit there is only the class.
 *
 * @param withheld people whose scores do not leave
 * @returns one chance a person, in their order: at most what an adversary with this knowledge can reach
 */
export function twoVisitRisks(
  sequences: readonly Sequence[],
  unit: TimeUnit,
  withheld: ReadonlySet<string> = new Set(),
): number[] {
  const followed = new Map<string, number[]>()
  const inClass = new Map<string, number>()
  const hiddenInClass = new Map<string, number>()
  const add = (counts: Map<string, number>, key: string): unknown =>
    counts.set(key, (counts.get(key) ?? 0) + 1)
  for (const s of sequences) {
    add(inClass, s.personClass)
    if (withheld.has(s.person)) {
      add(hiddenInClass, s.personClass)
      continue
    }
    const months = monthsInUnits(s.monthsFollowed, unit) ?? Number.POSITIVE_INFINITY
    for (const key of fitsOf(s, unit)) {
      const all = followed.get(key)
      if (all) all.push(months)
      else followed.set(key, [months])
    }
  }
  for (const all of followed.values()) all.sort((a, b) => a - b)
  return sequences.map((s) => {
    if (withheld.has(s.person)) return 1 / hiddenInClass.get(s.personClass)!
    let fewest = inClass.get(s.personClass)!
    for (const { key, monthsApart } of pairsOf(s, unit)) {
      const least = monthsInUnits(monthsApart, unit) ?? 0
      fewest = Math.min(fewest, atLeast(followed.get(key)!, least))
    }
    return 1 / fewest
  })
}

/** How many of the sorted values are `least` or more. */
function atLeast(sorted: readonly number[], least: number): number {
  let low = 0
  let high = sorted.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (sorted[middle]! < least) low = middle + 1
    else high = middle
  }
  return sorted.length - low
}
