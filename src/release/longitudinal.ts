/**
 * What a sequence of visits gives away. A person row in a class of five is no shelter if the days on which a person
 * was seen, or the set of reflexes they were seen for, are theirs alone.
 */

/** How a day count from the person's own start is released: finest first. */
export const TIME_UNITS = ['day', 'week', 'month', 'quarter', 'half_year', 'before_or_after'] as const
export type TimeUnit = (typeof TIME_UNITS)[number]

const DAYS_IN: Record<TimeUnit, number> = {
  day: 1,
  week: 7,
  month: 30.4375,
  quarter: 91.3125,
  half_year: 182.625,
  before_or_after: Number.POSITIVE_INFINITY,
}

/**
 * The unit in which a day count falls: 0 is the first one from the start on, -1 the last one before it.
 * With `before_or_after` all that is left is -1 or 0.
 */
export function inUnits(dayFromStart: number, unit: TimeUnit): number {
  if (unit === 'before_or_after') return dayFromStart < 0 ? -1 : 0
  return Math.floor(dayFromStart / DAYS_IN[unit])
}

/** A person's assessment days from their own start, without repeats, and the reflexes they were seen for. */
export interface Sequence {
  readonly person: string
  /** Released class, for instance the JSON of the person row's released values. */
  readonly personClass: string
  readonly days: readonly number[]
  readonly reflexes: readonly string[]
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
  /**
   * An adversary who knows a person's released class and, in released units from the start, two of their visits: the
   * largest and mean of 1 ÷ the number of people who fit, over the worst pair of each person.
   */
  readonly twoVisitRiskMax: number
  readonly twoVisitRiskMean: number
}

/**
 * The chance to pick a person out of those who share their class and one pair of visits, worst pair first.
 * One visit only: the pair is that visit alone. None: the class alone.
 */
export function twoVisitRisks(sequences: readonly Sequence[], unit: TimeUnit): number[] {
  const pairs = sequences.map((s) => {
    const units = [...new Set(sortedUnits(s, unit))]
    const out: string[] = []
    for (let i = 0; i < units.length; i++)
      for (let j = i; j < units.length; j++) out.push(JSON.stringify([s.personClass, units[i], units[j]]))
    return out.length > 0 ? out : [JSON.stringify([s.personClass])]
  })
  const fits = new Map<string, number>()
  for (const own of pairs) for (const pair of own) fits.set(pair, (fits.get(pair) ?? 0) + 1)
  return pairs.map((own) => 1 / Math.min(...own.map((pair) => fits.get(pair)!)))
}

export function sequenceRisk(sequences: readonly Sequence[], unit: TimeUnit): SequenceRisk {
  const risks = twoVisitRisks(sequences, unit)
  return {
    unit,
    uniqueBySequence: shareUnique(sequences.map((s) => sequenceKey(s, unit))),
    twoVisitRiskMax: risks.reduce((a, b) => Math.max(a, b), 0),
    twoVisitRiskMean: risks.length === 0 ? 0 : risks.reduce((a, b) => a + b, 0) / risks.length,
  }
}

export interface Coarsening {
  /** The unit that leaves. */
  readonly unit: TimeUnit
  /** Every unit that was tried, finest first, the last being the one that leaves. */
  readonly tried: readonly SequenceRisk[]
  /** People whom no unit hides well enough, whose scores and weeks do not leave. */
  readonly withheld: readonly string[]
  /** Of those who stay, in the unit that leaves. */
  readonly released: SequenceRisk
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
  const uniqueByReflexes = shareUnique(sequences.map(reflexKey))
  for (const unit of TIME_UNITS.slice(TIME_UNITS.indexOf(finest))) {
    const risk = sequenceRisk(sequences, unit)
    tried.push(risk)
    if (risk.uniqueBySequence <= maxUnique)
      return { unit, tried, withheld: [], released: risk, uniqueByReflexes }
  }
  const { unit } = tried.reduce((best, next) => (next.uniqueBySequence < best.uniqueBySequence ? next : best))
  const withheld = withholdUnique(sequences, unit, maxUnique)
  const kept = sequences.filter((s) => !withheld.includes(s.person))
  return { unit, tried, withheld, released: sequenceRisk(kept, unit), uniqueByReflexes }
}

/** Those still unique, in order of person, until what stays reaches the share. */
function withholdUnique(sequences: readonly Sequence[], unit: TimeUnit, maxUnique: number): string[] {
  const withheld = new Set<string>()
  for (;;) {
    const kept = sequences.filter((s) => !withheld.has(s.person))
    const keys = kept.map((s) => sequenceKey(s, unit))
    if (kept.length === 0 || shareUnique(keys) <= maxUnique) return [...withheld].sort()
    const alone = kept.filter((_, i) => keys.indexOf(keys[i]!) === keys.lastIndexOf(keys[i]!))
    withheld.add(alone.map((s) => s.person).sort()[0]!)
  }
}
