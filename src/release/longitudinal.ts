import { inUnits, TIME_UNITS, type TimeUnit } from './time-units.ts'
import { twoVisitRisks } from './two-visit-risk.ts'

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

/** Share of people whose key nobody else has; 0 where there are no people. */
export function shareUnique(keys: readonly string[]): number {
  if (keys.length === 0) return 0
  const count = new Map<string, number>()
  for (const key of keys) count.set(key, (count.get(key) ?? 0) + 1)
  return keys.filter((key) => count.get(key) === 1).length / keys.length
}

const sortedUnits = (s: Sequence, unit: TimeUnit): number[] =>
  s.days.map((d) => inUnits(d, unit)).sort((a, b) => a - b)

export const sequenceKey = (s: Sequence, unit: TimeUnit): string => JSON.stringify(sortedUnits(s, unit))
export const reflexKey = (s: Sequence): string => JSON.stringify([...new Set(s.reflexes)].sort())

/** What the sequences give away in one unit. */
export interface SequenceRisk {
  readonly unit: TimeUnit
  /** Share of people unique by their whole sequence of visits. */
  readonly uniqueBySequence: number
  /** Largest and mean of {@link twoVisitRisks}, and the share of people for whom it is 1. */
  readonly twoVisitRiskMax: number
  readonly twoVisitRiskMean: number
  readonly twoVisitAlone: number
}

export function sequenceRisk(
  sequences: readonly Sequence[],
  unit: TimeUnit,
  withheld: ReadonlySet<string> = new Set(),
): SequenceRisk {
  const risks = twoVisitRisks(sequences, unit, withheld)
  const shown = sequences.filter((s) => !withheld.has(s.person))
  const n = Math.max(1, risks.length)
  return {
    unit,
    uniqueBySequence: shareUnique(shown.map((s) => sequenceKey(s, unit))),
    twoVisitRiskMax: risks.reduce((a, b) => Math.max(a, b), 0),
    twoVisitRiskMean: risks.reduce((a, b) => a + b, 0) / n,
    twoVisitAlone: risks.filter((r) => r === 1).length / n,
  }
}

export interface Coarsening {
  /** The unit that leaves. */
  readonly unit: TimeUnit
  /** Every unit that was tried, finest first, the last being the one that leaves. */
  readonly tried: readonly SequenceRisk[]
  /** People whom no unit hides well enough, whose scores and weeks do not leave. */
  readonly withheld: readonly string[]
  /** In the unit that leaves: visits of those whose scores leave, two known visits over everybody in the people table. */
  readonly released: SequenceRisk
  /** Share, of those whose scores leave, whose set of reflexes nobody else has. */
  readonly uniqueByReflexes: number
}

/**
 * Coarsens from `finest` on until at most `maxUnique` of the people are unique by their sequence of visits. Where no unit
 * reaches that, the finest of those that leave the fewest unique is taken, and as few people as it takes are withheld.
 */
export function coarsen(
  sequences: readonly Sequence[],
  { finest = 'week', maxUnique = 0.05 }: { readonly finest?: TimeUnit; readonly maxUnique?: number } = {},
): Coarsening {
  const tried: SequenceRisk[] = []
  for (const unit of TIME_UNITS.slice(TIME_UNITS.indexOf(finest))) {
    const released = sequenceRisk(sequences, unit)
    tried.push(released)
    if (released.uniqueBySequence <= maxUnique)
      return { unit, tried, withheld: [], released, uniqueByReflexes: shareUnique(sequences.map(reflexKey)) }
  }
  const { unit } = tried.reduce((best, next) => (next.uniqueBySequence < best.uniqueBySequence ? next : best))
  const withheld = withholdUnique(sequences, unit, maxUnique)
  const out = new Set(withheld)
  const shown = sequences.filter((s) => !out.has(s.person))
  return {
    unit,
    tried,
    withheld,
    released: sequenceRisk(sequences, unit, out),
    uniqueByReflexes: shareUnique(shown.map(reflexKey)),
  }
}

/** Those who are unique, in order of person, until what stays reaches the share. */
function withholdUnique(sequences: readonly Sequence[], unit: TimeUnit, maxUnique: number): string[] {
  const count = new Map<string, number>()
  const keys = sequences.map((s) => sequenceKey(s, unit))
  for (const key of keys) count.set(key, (count.get(key) ?? 0) + 1)
  const alone = sequences.filter((_, i) => count.get(keys[i]!) === 1).map((s) => s.person)
  let out = 0
  while (out < alone.length && alone.length - out > maxUnique * (sequences.length - out)) out++
  return alone.sort().slice(0, out)
}
