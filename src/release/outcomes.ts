import { compute, isComputed } from '../measures/index.ts'
import { REFLEXES, type Reflex } from '../records/index.ts'
import { pairedEffectSizes } from '../statistics/index.ts'
import type { ReflexChange } from './clinic-view.ts'

/** Before and after of one reflex, the client as the unit. */
export interface Outcome {
  readonly reflex: Reflex
  readonly clients: number
  readonly baselineMean: number
  readonly followUpMean: number
  readonly meanChange: number
  /** Hedges' g with its 95 % interval by noncentral t; null where it cannot be computed. */
  readonly hedgesG: number | null
  readonly lower: number | null
  readonly upper: number | null
}

export const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length

function outcomeOf(reflex: Reflex, changes: readonly ReflexChange[]): Outcome {
  const before = changes.map((c) => c.baseline)
  const after = changes.map((c) => c.followUp)
  const effect = compute('The effect size', () => pairedEffectSizes(before, after))
  const sizes = isComputed(effect) ? effect : null
  return {
    reflex,
    clients: changes.length,
    baselineMean: mean(before),
    followUpMean: mean(after),
    meanChange: mean(changes.map((c) => c.change)),
    hedgesG: sizes?.hedgesG ?? null,
    lower: sizes?.hedgesGInterval.lower ?? null,
    upper: sizes?.hedgesGInterval.upper ?? null,
  }
}

/** The figures of `beforeAndAfter` that a release prints, without the tests that it does not. */
export function outcomesOf(changes: readonly ReflexChange[]): Outcome[] {
  return REFLEXES.flatMap((reflex) => {
    const own = changes.filter((c) => c.reflex === reflex)
    return own.length === 0 ? [] : [outcomeOf(reflex, own)]
  })
}
