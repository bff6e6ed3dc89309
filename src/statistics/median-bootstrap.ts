import normal from '@stdlib/stats-base-dists-normal'
import { accelerationOf, bcaLevels } from './bootstrap-limits.ts'
import { type DiscreteLaw, differenceLaw, medianLaw } from './median-law.ts'
import { CannotEstimate, checkLevel, dropMissing, type Interval, type Maybe } from './shared.ts'
import { medianOfSorted } from './theil-sen.ts'

/** A limit of the exact law, and how near its level lies to the law's jumps. */
export interface LawStep {
  readonly level: number
  readonly value: number
  readonly cumulative: number
  readonly valueBelow: number | null
  readonly cumulativeBelow: number
  readonly valueAbove: number | null
}

export interface MedianBootstrap {
  readonly method: 'exact bootstrap of a median' | 'exact bootstrap of a difference of medians'
  readonly estimate: number
  readonly n: readonly number[]
  readonly nDropped: number
  readonly mean: number
  readonly standardError: number
  readonly percentile: Interval
  readonly acceleration: number
  /** Bias correction and BCa interval with ties of resample and estimate counted as not below it. */
  readonly strict: MedianBca
  /** The same with ties counted half. */
  readonly halfTies: MedianBca
  readonly percentileSteps: { readonly lower: LawStep; readonly upper: LawStep }
  readonly law: DiscreteLaw
}

export interface MedianBca {
  readonly biasCorrection: number
  readonly levels: readonly [number, number]
  readonly bca: Interval
  readonly steps: { readonly lower: LawStep; readonly upper: LawStep } | null
}

/**
 * The bootstrap of a median, or of median(x) - median(y) with the two samples resampled apart, as if with infinitely many resamples: the law
 * of the resampled median is computed exactly, so nothing is random.
 *
 * Missing values are dropped and counted. A limit is the smallest value whose distribution function reaches the level. The law is discrete:
 * `steps` tell how near a level lies to a jump. Means and differences of values are given to 12 significant digits. The acceleration is the jackknife's, which is a poor guide for a median (it is 0 for even n with
 * distinct middle values); for a difference the values of each sample are scaled by (n - 1) / n.
 *
 * Source: Maritz and Jarrett (1978) JASA 73:194-196 for odd n; Efron (1982) The Jackknife, the Bootstrap and Other Resampling Plans, section 10.3;
 * the even case from the joint law of two neighbouring order statistics.
 *
 * @throws CannotEstimate for fewer than 2 values in a sample, or more than 1,000, or where a difference
 * has more than 4 million pairs of possible medians (two samples of about 65 different values); use bootstrapInterval there.
 */
export function medianBootstrap(
  x: ArrayLike<Maybe>,
  y: ArrayLike<Maybe> | null = null,
  options: { readonly level?: number } = {},
): MedianBootstrap {
  const level = options.level ?? 0.95
  checkLevel('medianBootstrap', level)
  const samples = (y === null ? [x] : [x, y]).map((values) => dropMissing(values))
  const sorted = samples.map((sample) => Float64Array.from(sample.known).sort())
  for (const sample of sorted)
    if (sample.length < 2 || sample.length > 1000)
      throw new CannotEstimate(
        'medianBootstrap',
        'from 2 to 1,000 values in each sample',
        String(sample.length),
      )
  const medians = sorted.map(medianOfSorted)
  const estimate = medians.length === 1 ? medians[0]! : medians[0]! - medians[1]!
  const scale = Math.max(...sorted.flatMap((sample) => [Math.abs(sample[0]!), Math.abs(sample.at(-1)!)]))
  const laws = sorted.map((sample) => medianLaw(sample, scale))
  const law = laws.length === 1 ? laws[0]! : differenceLaw(laws[0]!, laws[1]!, scale)
  const acceleration = accelerationOf(jackknifeInfluence(sorted), scale) ?? 0
  const mean = law.value.reduce((sum, value, i) => sum + value * law.probability[i]!, 0)
  const variance = law.value.reduce((sum, value, i) => sum + law.probability[i]! * (value - mean) ** 2, 0)
  const below = law.value.reduce(
    (sum, v, i) => (v < estimate - 1e-12 * scale ? sum + law.probability[i]! : sum),
    0,
  )
  const at = law.value.reduce(
    (sum, v, i) => (Math.abs(v - estimate) <= 1e-12 * scale ? sum + law.probability[i]! : sum),
    0,
  )
  const steps = { lower: stepAt(law, (1 - level) / 2), upper: stepAt(law, 1 - (1 - level) / 2) }
  return {
    method: y === null ? 'exact bootstrap of a median' : 'exact bootstrap of a difference of medians',
    estimate,
    n: sorted.map((sample) => sample.length),
    nDropped: samples.reduce((sum, sample) => sum + sample.dropped, 0),
    mean,
    standardError: Math.sqrt(variance),
    percentile: { lower: steps.lower.value, upper: steps.upper.value, level },
    acceleration,
    strict: bcaOf(law, normal.quantile(below, 0, 1), acceleration, level),
    halfTies: bcaOf(law, normal.quantile(below + at / 2, 0, 1), acceleration, level),
    percentileSteps: steps,
    law,
  }
}

function bcaOf(law: DiscreteLaw, biasCorrection: number, acceleration: number, level: number): MedianBca {
  const levels = bcaLevels(biasCorrection, acceleration, level)
  if (!Number.isFinite(biasCorrection))
    return { biasCorrection, levels, bca: { lower: null, upper: null, level }, steps: null }
  const steps = { lower: stepAt(law, levels[0]), upper: stepAt(law, levels[1]) }
  return { biasCorrection, levels, bca: { lower: steps.lower.value, upper: steps.upper.value, level }, steps }
}

function stepAt(law: DiscreteLaw, level: number): LawStep {
  let below = 0
  let i = 0
  while (i < law.value.length - 1 && below + law.probability[i]! < level - 1e-12)
    below += law.probability[i++]!
  return {
    level,
    value: law.value[i]!,
    cumulative: below + law.probability[i]!,
    valueBelow: i > 0 ? law.value[i - 1]! : null,
    cumulativeBelow: below,
    valueAbove: i < law.value.length - 1 ? law.value[i + 1]! : null,
  }
}

/** Leave-one-out influence values: mean less each; of two samples scaled by (n - 1) / n, the second with its sign turned. */
function jackknifeInfluence(sorted: readonly Float64Array[]): Float64Array {
  const parts = sorted.map((sample, k) => {
    const n = sample.length
    const without = Array.from(sample, (_, i) => medianOfSorted(sample.filter((_value, j) => j !== i)))
    const mean = without.reduce((a, b) => a + b, 0) / n
    const sign = k === 0 ? 1 : -1
    return without.map((value) =>
      sorted.length === 1 ? mean - value : (sign * (n - 1) * (mean - value)) / n,
    )
  })
  return Float64Array.from(parts.flat())
}
