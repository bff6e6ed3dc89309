import type { Day } from '../records/index.ts'
import { CannotEstimate } from '../statistics/index.ts'

/** How many were left out for one reason. `reason` is a sentence part a page prints: "no baseline within 60 days". */
export interface Exclusion {
  readonly reason: string
  readonly count: number
}

/** What a figure may be taken for. Nothing here is a controlled trial, so nothing is ever more than an association. */
export type Reading = 'description' | 'uncontrolled change' | 'association'

/**
 * What every measure says beside its figures. Always `enrolled = n + the sum of exclusions` in the unit named.
 * A figure that cannot be computed is a {@link NotComputed} in its place, never a blank.
 */
export interface MeasureResult {
  /** What is measured, as a page's heading would say it. */
  readonly measure: string
  readonly asOf: Day
  /** What is counted: `client`, `series`, `programme line`, `session` and so on. */
  readonly unit: string
  /** Units that could have entered. */
  readonly enrolled: number
  /** Units analysed. */
  readonly n: number
  readonly exclusions: readonly Exclusion[]
  readonly method: string
  /** The choices a reader must know to repeat the figure: windows, ties, thresholds. */
  readonly convention: string
  /** What was taken for granted because the records do not say, in sentences; empty where nothing was. */
  readonly assumptions: readonly string[]
  readonly reading: Reading
  /** One sentence: whether it can be read as an effect of the programme, and why not. */
  readonly readingNote: string
}

/** The sentence that stands with each reading; a measure may say more. */
export const READING_NOTES: Record<Reading, string> = {
  description: 'A description of what was recorded; it says nothing about what a programme causes.',
  'uncontrolled change':
    'Change without a comparison group: children outgrow reflexes, strong scores drift to the mean, and families who leave are not seen again. It cannot be read as an effect of the programme.',
  association:
    'An association: families who do more may differ in other ways. It cannot be read as an effect of the programme.',
}

/** Stands where a figure would, with the reason in a sentence for people. */
export interface NotComputed {
  readonly notComputed: string
}

export type Computed<T> = T | NotComputed

/** Whether there is a figure, rather than the reason why there is none. */
export const isComputed = <T>(value: Computed<T>): value is T =>
  !(typeof value === 'object' && value !== null && 'notComputed' in value)

/** In place of a figure: why there is none, as a whole sentence for people. */
export const notComputed = (why: string): NotComputed => ({ notComputed: why })

/**
 * The figure, or the reason why there is none where the statistic says that it cannot be estimated.
 * Any other error is a bug and passes through.
 * @param what the figure's name, which begins the sentence: "The median time to integration"
 */
export function compute<T>(what: string, figure: () => T): Computed<T> {
  try {
    return figure()
  } catch (error) {
    if (!(error instanceof CannotEstimate)) throw error
    return notComputed(`${what} needs ${error.needs}; here there is ${error.found}.`)
  }
}

/** Counts exclusions by reason, in order of first use, largest set of reasons kept as it comes. */
export class ExclusionTally {
  readonly #counts = new Map<string, number>()

  add(reason: string, count = 1): void {
    this.#counts.set(reason, (this.#counts.get(reason) ?? 0) + count)
  }

  list(): Exclusion[] {
    return [...this.#counts].filter(([, count]) => count > 0).map(([reason, count]) => ({ reason, count }))
  }
}

/** How many were left out, whatever the reason. */
export const excludedCount = (exclusions: readonly Exclusion[]): number =>
  exclusions.reduce((sum, e) => sum + e.count, 0)

/** The common part of a result. Throws where the account does not balance: that is a bug, never data. */
export function measureResult(
  part: Omit<MeasureResult, 'readingNote' | 'assumptions'> & {
    readonly readingNote?: string
    readonly assumptions?: readonly string[]
  },
): MeasureResult {
  const excluded = excludedCount(part.exclusions)
  if (part.enrolled !== part.n + excluded)
    throw new Error(
      `${part.measure}: ${part.enrolled} enrolled, but ${part.n} analysed and ${excluded} excluded`,
    )
  return {
    ...part,
    assumptions: part.assumptions ?? [],
    readingNote: part.readingNote ?? READING_NOTES[part.reading],
  }
}
