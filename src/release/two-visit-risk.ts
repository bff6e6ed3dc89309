import { DAYS_PER_MONTH } from '../records/index.ts'
import type { Sequence } from './sequence.ts'
import { inUnits, monthsInUnits, type TimeUnit } from './time-units.ts'

/** Above any number of months that somebody is followed; the highest stands for "not told". */
const MONTHS = 4096
const NOT_TOLD = MONTHS - 1

/** One unit of time in which a person was seen: with the first and last day there, and on how many days. */
interface SeenUnit {
  readonly unit: number
  readonly first: number
  readonly last: number
  readonly visits: number
}

function seenUnits(days: readonly number[], unit: TimeUnit): SeenUnit[] {
  const found: { unit: number; first: number; last: number; visits: number }[] = []
  for (const day of days.toSorted((a, b) => a - b)) {
    const at = inUnits(day, unit)
    const same = found.at(-1)
    if (same?.unit === at) {
      same.last = day
      same.visits++
    } else found.push({ unit: at, first: day, last: day, visits: 1 })
  }
  return found
}

/**
 * Pairs of units as whole numbers, and with them the months followed, so that rows are sorted and counted as plain numbers:
 * key × {@link MONTHS} + months. They stay whole: a century in days gives keys below 2^31.
 */
class PairKeys {
  readonly #least: number
  readonly #width: number

  constructor(members: readonly (readonly SeenUnit[])[]) {
    let least = 0
    let most = 0
    for (const seen of members)
      for (const { unit } of seen) {
        least = Math.min(least, unit)
        most = Math.max(most, unit)
      }
    this.#least = least
    this.#width = most - least + 2
  }

  /** Of two units, or of one visit alone. */
  key(first: number, second: number | null): number {
    return (first - this.#least) * this.#width + (second === null ? 0 : second - this.#least + 1)
  }
}

/** Visits each pair of units that two visits of the person make, with the most days that such two lie apart. */
function eachPair(
  seen: readonly SeenUnit[],
  visit: (first: number, second: number, apart: number) => void,
): void {
  for (let i = 0; i < seen.length; i++) {
    const a = seen[i]!
    if (a.visits > 1) visit(a.unit, a.unit, a.last - a.first)
    for (let j = i + 1; j < seen.length; j++) visit(a.unit, seen[j]!.unit, seen[j]!.last - a.first)
  }
}

/** What the rows of a class would be found under, sorted: every pair of their visits, and every visit alone. */
function rowsOfClass(
  members: readonly (readonly SeenUnit[])[],
  followed: readonly (number | null)[],
  keys: PairKeys,
): Float64Array {
  const codes: number[] = []
  members.forEach((seen, i) => {
    const months = Math.min(followed[i] ?? NOT_TOLD, NOT_TOLD)
    for (const { unit } of seen) codes.push(keys.key(unit, null) * MONTHS + months)
    eachPair(seen, (first, second) => {
      codes.push(keys.key(first, second) * MONTHS + months)
    })
  })
  return Float64Array.from(codes).sort()
}

/** Place of the first of the sorted values that is `least` or more. */
function placeOf(sorted: Float64Array, least: number): number {
  let low = 0
  let high = sorted.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (sorted[middle]! < least) low = middle + 1
    else high = middle
  }
  return low
}

/** The fewest rows that fit any two visits of the person. */
function fewestFits(
  seen: readonly SeenUnit[],
  rows: Float64Array,
  keys: PairKeys,
  unit: TimeUnit,
  inClass: number,
): number {
  let fewest = inClass
  const count = (key: number, months: number): void => {
    const fits = placeOf(rows, (key + 1) * MONTHS) - placeOf(rows, key * MONTHS + months)
    fewest = Math.min(fewest, fits)
  }
  eachPair(seen, (first, second, apart) =>
    count(keys.key(first, second), monthsInUnits(Math.floor(apart / DAYS_PER_MONTH), unit) ?? 0),
  )
  if (seen.length === 1 && seen[0]!.visits === 1) count(keys.key(seen[0]!.unit, null), 0)
  return fewest
}

/** Sequences, by place, of each class. */
function placesByClass(sequences: readonly Sequence[]): number[][] {
  const classes = new Map<string, number[]>()
  sequences.forEach((s, i) => {
    const own = classes.get(s.personClass)
    if (own) own.push(i)
    else classes.set(s.personClass, [i])
  })
  return [...classes.values()]
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
  const risks = new Array<number>(sequences.length).fill(0)
  for (const places of placesByClass(sequences)) {
    const shown = places.filter((i) => !withheld.has(sequences[i]!.person))
    const members = shown.map((i) => seenUnits(sequences[i]!.days, unit))
    const keys = new PairKeys(members)
    const followed = shown.map((i) => monthsInUnits(sequences[i]!.monthsFollowed, unit))
    const rows = rowsOfClass(members, followed, keys)
    for (const i of places) risks[i] = 1 / (places.length - shown.length)
    shown.forEach((i, m) => {
      risks[i] = 1 / fewestFits(members[m]!, rows, keys, unit, places.length)
    })
  }
  return risks
}
