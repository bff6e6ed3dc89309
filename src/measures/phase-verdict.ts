import type { OrdinalPhase } from './ordinal-phase.ts'
import type { LinearPhase } from './phase-model.ts'
import { type Computed, isComputed, type NotComputed } from './result.ts'
import { sideOfZero } from './slope-estimate.ts'

/** What the two models say together. */
export type PhaseVerdict =
  | 'cannot be told apart'
  | 'not computed'
  | 'no difference found'
  | 'models disagree'
  | 'steeper fall after the start'
  | 'less steep fall after the start'

export interface ModelAgreement {
  readonly agree: boolean
  readonly sentence: string
}

type Differences = Pick<LinearPhase, 'difference'>

/** Whether two models agree: they disagree where the signs differ, or where zero lies inside one interval only. */
export function agreementOf(
  linear: Computed<Differences>,
  ordinal: Computed<Pick<OrdinalPhase, 'difference'>>,
): Computed<ModelAgreement> {
  if (!isComputed(linear)) return linear
  if (!isComputed(ordinal)) return ordinal
  const a = linear.difference
  const b = ordinal.difference
  if (Math.sign(a.estimate) !== Math.sign(b.estimate))
    return {
      agree: false,
      sentence: 'The linear and the ordinal model disagree: they point in different directions.',
    }
  if ((sideOfZero(a.interval) === 0) !== (sideOfZero(b.interval) === 0))
    return {
      agree: false,
      sentence:
        'The linear and the ordinal model disagree: zero lies inside the interval of one of them only.',
    }
  return {
    agree: true,
    sentence:
      'The linear and the ordinal model agree: same direction, and zero inside both intervals or neither.',
  }
}

/** A difference counts only where both models exclude zero on the same side. */
export function verdictOf(
  refused: boolean,
  linear: Computed<Differences>,
  ordinal: Computed<Pick<OrdinalPhase, 'difference'>>,
): PhaseVerdict {
  if (refused) return 'cannot be told apart'
  if (!isComputed(linear) || !isComputed(ordinal)) return 'not computed'
  const a = sideOfZero(linear.difference.interval)
  const b = sideOfZero(ordinal.difference.interval)
  if (a === 0 && b === 0) return 'no difference found'
  if (a !== b) return 'models disagree'
  return a < 0 ? 'steeper fall after the start' : 'less steep fall after the start'
}

/** The verdict as a page says it. */
export function sentenceOf(
  verdict: PhaseVerdict,
  linear: Computed<Differences>,
  ordinal: Computed<Pick<OrdinalPhase, 'difference'>>,
  refused: NotComputed | null,
): string {
  if (refused !== null) return refused.notComputed
  if (!isComputed(linear)) return linear.notComputed
  if (!isComputed(ordinal)) return ordinal.notComputed
  const { estimate, interval } = linear.difference
  const figure = `${signed(estimate)} points a month (${Math.round(interval.level * 100)} % interval ${signed(interval.lower!)} to ${signed(interval.upper!)})`
  switch (verdict) {
    case 'steeper fall after the start':
      return `Scores fell faster after the programme’s start than before it, ${figure}, in both models. An association: what else changed at the start changed with it.`
    case 'less steep fall after the start':
      return `Scores fell less fast after the programme’s start than before it, ${figure}, in both models. An association: what else changed at the start changed with it.`
    case 'models disagree':
      return `The slopes before and after the start differ by ${figure} in the linear model, but the ordinal model does not bear that out, so no difference is reported.`
    default:
      return `No difference beyond growing up was found between the slopes before and after the start: ${figure}.`
  }
}

const signed = (x: number): string => `${x < 0 ? '−' : '+'}${Math.abs(x).toFixed(3)}`
