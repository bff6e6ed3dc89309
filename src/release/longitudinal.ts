import { reflexKey, type Sequence, sequenceKey, shareUnique } from './sequence.ts'
import { TIME_UNITS, type TimeUnit } from './time-units.ts'
import { twoVisitRisks } from './two-visit-risk.ts'
import { withhold } from './withhold.ts'

/** What the sequences give away in one unit. */
export interface SequenceRisk {
  readonly unit: TimeUnit
  /** Share of people unique by their whole sequence of visits. */
  readonly uniqueBySequence: number
  /** The same for whoever knows their class, too. */
  readonly uniqueBySequenceInClass: number
  /** Largest and mean of {@link twoVisitRisks}, and the share of people for whom it is 1: found for certain. */
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
    uniqueBySequenceInClass: shareUnique(shown.map((s) => `${s.personClass} ${sequenceKey(s, unit)}`)),
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

/** The larger of the two shares that are promised to be small. */
const worst = (risk: SequenceRisk): number => Math.max(risk.uniqueBySequence, risk.twoVisitAlone)

/**
 * Coarsens from `finest` on until at most `maxUnique` of the people are unique by their sequence of visits, and at most as
 * many are found for certain by their class and two visits. Where no unit reaches that, the finest of those that come nearest
 * is taken, and people are withheld until it is reached.
 */
export function coarsen(
  sequences: readonly Sequence[],
  { finest = 'week', maxUnique = 0.05 }: { readonly finest?: TimeUnit; readonly maxUnique?: number } = {},
): Coarsening {
  const tried: SequenceRisk[] = []
  for (const unit of TIME_UNITS.slice(TIME_UNITS.indexOf(finest))) {
    const released = sequenceRisk(sequences, unit)
    tried.push(released)
    if (worst(released) <= maxUnique)
      return { unit, tried, withheld: [], released, uniqueByReflexes: shareUnique(sequences.map(reflexKey)) }
  }
  const { unit } = tried.reduce((best, next) => (worst(next) < worst(best) ? next : best))
  const out = withhold(sequences, unit, maxUnique)
  const shown = sequences.filter((s) => !out.has(s.person))
  return {
    unit,
    tried,
    withheld: [...out].sort(),
    released: sequenceRisk(sequences, unit, out),
    uniqueByReflexes: shareUnique(shown.map(reflexKey)),
  }
}
