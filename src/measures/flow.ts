import type { Records } from '../records/index.ts'
import { type AsOf, clientsById } from './as-of.ts'
import { changeAccount } from './change-account.ts'
import { HORIZONS, type HorizonName, LEFT_OUT } from './change-pairs.ts'
import { type Exclusion, excludedCount, type MeasureResult, measureResult } from './result.ts'
import { allSeries } from './series.ts'

export interface FlowOptions extends AsOf {
  /** Follow-up of the last stages; 12 weeks unless given. */
  readonly horizon?: HorizonName
}

/** One stage of the flow: how many clients are left, and why the others are not. */
export interface FlowStage {
  readonly stage: string
  readonly clients: number
  readonly left: readonly Exclusion[]
}

export interface Flow extends MeasureResult {
  readonly stages: readonly FlowStage[]
}

/** The stage that a client reaches by passing each reason. A reason that is not named here stops at the first stage. */
const STAGES: readonly { readonly stage: string; readonly reasons: readonly string[] }[] = [
  {
    stage: 'with a programme for a scored reflex',
    reasons: [LEFT_OUT.noProgramme, LEFT_OUT.unknownClient],
  },
  { stage: 'with a baseline', reasons: [LEFT_OUT.noBaselineEver, LEFT_OUT.baselineTooOld] },
  {
    stage: 'with a follow-up',
    reasons: [LEFT_OUT.discharged, LEFT_OUT.tooEarly, LEFT_OUT.noFollowUp],
  },
  { stage: 'analysed', reasons: [LEFT_OUT.ageUnknown, LEFT_OUT.ageAppropriate] },
]

/**
 * Flow of clients from enrolled to analysed, every exclusion counted once: a client stops at the stage that the furthest of
 * its series reached. Before-and-after figures rest on those analysed.
 */
export function clientFlow(records: Records, options: FlowOptions): Flow {
  const { asOf } = options
  const horizon = HORIZONS[options.horizon ?? 'weeks12']
  const { clients } = changeAccount(records, allSeries(records, options), horizon, asOf)
  const enrolled = clientsById(records).size
  const stages: FlowStage[] = [{ stage: 'enrolled', clients: enrolled, left: [] }]
  let here = enrolled
  const step = (stage: string, left: readonly Exclusion[]) => {
    here -= excludedCount(left)
    stages.push({ stage, clients: here, left })
  }
  const later = new Set(STAGES.flatMap((s) => s.reasons))
  step(
    'with a score',
    clients.exclusions.filter((e) => !later.has(e.reason)),
  )
  for (const { stage, reasons } of STAGES)
    step(
      stage,
      clients.exclusions.filter((e) => reasons.includes(e.reason)),
    )
  return {
    ...measureResult({
      measure: 'Flow of clients from enrolled to analysed',
      asOf,
      unit: 'client',
      enrolled,
      n: clients.n,
      exclusions: clients.exclusions,
      method: 'counts',
      convention: `Follow-up: ${horizon.label}. A client counts at the furthest stage that one of its series reached.`,
      reading: 'description',
    }),
    stages,
  }
}
