/** A two-sided interval at `level` (0.95 is 95 %). Limits may be infinite; they are null only where undefined. */
export interface Interval {
  readonly lower: number | null
  readonly upper: number | null
  readonly level: number
}

/** A value that may be missing. Every estimator drops `null`, `undefined` and NaN, and counts what it dropped. */
export type Maybe = number | null | undefined

/** What cannot be estimated from the numbers given: says which function, what it needs and what came. */
export class CannotEstimate extends Error {
  override readonly name = 'CannotEstimate'
  readonly statistic: string
  readonly needs: string
  readonly found: string

  constructor(statistic: string, needs: string, found: string) {
    super(`${statistic} needs ${needs}; found ${found}`)
    this.statistic = statistic
    this.needs = needs
    this.found = found
  }
}

/** True for a number that is there (not null, undefined or NaN). Infinite values count as there. */
export const isKnown = (x: Maybe): x is number => x !== null && x !== undefined && !Number.isNaN(x)

/** The known values in order, and how many were dropped. */
export function dropMissing(xs: ArrayLike<Maybe>): { readonly known: number[]; readonly dropped: number } {
  const known: number[] = []
  for (let i = 0; i < xs.length; i++) {
    const x = xs[i]
    if (isKnown(x)) known.push(x)
  }
  return { known, dropped: xs.length - known.length }
}

/** Throws {@link CannotEstimate} unless 0 < level < 1. */
export function checkLevel(statistic: string, level: number): void {
  if (!(level > 0 && level < 1)) throw new CannotEstimate(statistic, 'a level between 0 and 1', String(level))
}
