import type { ChangePair } from './change-pairs.ts'
import { COMMON_SCALE } from './points.ts'
import type { SmallestReliableDifference } from './smallest-reliable-difference.ts'
import { zeroRuns } from './zero-runs.ts'

/** Whether one series counts toward the share "reliably improved or integrated", and whether it is. */
export interface ReliableImprovement {
  readonly pair: ChangePair
  /** False where the baseline does not exceed the smallest reliable difference: it could not fall by more than that. */
  readonly eligible: boolean
  readonly improved: boolean
}

/** Rounding beyond a threshold is no change. */
const ROUNDING = 1e-9

/** True where the confirmed absence that the series ends in by its last score covers the follow-up. */
function integratedAt({ series, followUpOn }: ChangePair): boolean {
  const { occasions } = series
  const run = zeroRuns(occasions).at(-1)
  return run?.confirmed === true && run.to === occasions.length - 1 && occasions[run.from]!.day <= followUpOn
}

/**
 * Reliably improved: the follow-up is below the baseline by more than the smallest reliable difference, or the reflex is
 * integrated by the follow-up. Only series whose baseline exceeds the difference count.
 */
export function reliableImprovement(
  pair: ChangePair,
  difference: SmallestReliableDifference,
): ReliableImprovement {
  const limit = difference.severity * COMMON_SCALE
  const eligible = pair.baseline > limit + ROUNDING
  return {
    pair,
    eligible,
    improved: eligible && (-pair.change > limit + ROUNDING || integratedAt(pair)),
  }
}
