import { type BootstrapSummary, jackknifeAcceleration, summariseDraws } from './bootstrap-limits.ts'
import { seededStream } from './seeded-stream.ts'
import { CannotEstimate, checkLevel, dropMissing, type Maybe } from './shared.ts'

export interface BootstrapInterval extends BootstrapSummary {
  readonly method: 'bootstrap'
  readonly n: number
  readonly nDropped: number
}

export interface BootstrapOptions {
  /** Confidence level, 0.95 unless given. */
  readonly level?: number
  /** Resamples, 9999 unless given. */
  readonly draws?: number
  /** Seed of the random stream, 1 unless given. */
  readonly seed?: number | string
  /** Key of the random stream, so that two bootstraps in one report are unrelated. */
  readonly key?: string | readonly (string | number)[]
}

/**
 * Percentile and BCa bootstrap intervals of a statistic of one sample of independent values.
 *
 * `statistic` takes the resampled values, a Float64Array that is reused from draw to draw, in no particular order; NaN or
 * a thrown CannotEstimate is a failed draw. Missing values are dropped and counted. The order of the values does not matter.
 *
 * In small samples intervals of a mean fall short of 95 %: percentile and BCa alike held it in 91 % at n = 10 and in under 93 % at
 * n = 20 for normal data (tests/coverage), since the bootstrap's standard error divides by n and not n - 1.
 *
 * Source: Efron and Tibshirani (1993) chapters 13 and 14.
 *
 * @throws CannotEstimate for fewer than 2 values, or where the statistic is not a number on the sample itself.
 */
export function bootstrapInterval(
  values: ArrayLike<Maybe>,
  statistic: (sample: Float64Array) => number,
  options: BootstrapOptions = {},
): BootstrapInterval {
  const level = options.level ?? 0.95
  checkLevel('bootstrapInterval', level)
  const { known, dropped } = dropMissing(values)
  const n = known.length
  if (n < 2) throw new CannotEstimate('bootstrapInterval', 'two values', String(n))
  const data = Float64Array.from(known).sort()
  const estimate = statistic(data.slice())
  if (Number.isNaN(estimate))
    throw new CannotEstimate('bootstrapInterval', 'a statistic that is a number on the sample', 'NaN')
  const draws = checkedDraws('bootstrapInterval', options.draws)
  const stream = seededStream(options.seed ?? 1, ['bootstrap', ...keyParts(options.key)])
  const sample = new Float64Array(n)
  const resampled = new Float64Array(draws)
  for (let b = 0; b < draws; b++) {
    for (let i = 0; i < n; i++) sample[i] = data[stream.below(n)]!
    resampled[b] = orNaN(() => statistic(sample))
  }
  const without = Array.from(data, (_, i) => {
    const rest = new Float64Array(n - 1)
    rest.set(data.subarray(0, i))
    rest.set(data.subarray(i + 1), i)
    return orNaN(() => statistic(rest))
  })
  return {
    method: 'bootstrap',
    n,
    nDropped: dropped,
    ...summariseDraws(estimate, resampled, jackknifeAcceleration(without), level),
  }
}

/** The number of draws, 9999 unless given; at least 1. */
export function checkedDraws(statistic: string, draws = 9999): number {
  if (!(Number.isInteger(draws) && draws >= 1))
    throw new CannotEstimate(statistic, 'a whole number of draws, 1 or more', String(draws))
  return draws
}

/** The parts of a key that sets a stream of random numbers apart: none where there is no key. */
export const keyParts = (
  key: string | readonly (string | number)[] | undefined,
): readonly (string | number)[] => (key === undefined ? [] : typeof key === 'string' ? [key] : key)

/** The value, or NaN where it cannot be estimated. Other errors pass. */
export function orNaN(compute: () => number): number {
  try {
    return compute()
  } catch (error) {
    if (error instanceof CannotEstimate) return Number.NaN
    throw error
  }
}
