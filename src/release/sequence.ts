import { inUnits, type TimeUnit } from './time-units.ts'

/**
 * What a sequence of visits gives away. A person row in a class of five is no shelter if the days on which a person
 * was seen, or the set of reflexes they were seen for, are theirs alone.
 */

/** A person's assessment days from their own start, without repeats, and the reflexes they were seen for. */
export interface Sequence {
  readonly person: string
  /** Released class, for instance the JSON of the person row's released values. */
  readonly personClass: string
  readonly days: readonly number[]
  readonly reflexes: readonly string[]
  /** Whole months from the first record to the last. */
  readonly monthsFollowed: number | null
}

/** One flag a key: true where nobody else has it. */
export function uniqueOnes(keys: readonly string[]): boolean[] {
  const count = new Map<string, number>()
  for (const key of keys) count.set(key, (count.get(key) ?? 0) + 1)
  return keys.map((key) => count.get(key) === 1)
}

/** Share of people whose key nobody else has; 0 where there are no people. */
export const shareUnique = (keys: readonly string[]): number =>
  keys.length === 0 ? 0 : uniqueOnes(keys).filter(Boolean).length / keys.length

/** The visits of a person as the tables tell them: one unit of time each, in order. */
export const sequenceKey = (s: Sequence, unit: TimeUnit): string =>
  s.days
    .map((d) => inUnits(d, unit))
    .sort((a, b) => a - b)
    .join()

export const reflexKey = (s: Sequence): string => JSON.stringify([...new Set(s.reflexes)].sort())
