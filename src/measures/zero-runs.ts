import type { Day } from '../records/index.ts'
import type { Occasion } from './series.ts'

export const STATUSES = [
  'not enough scores',
  'returned',
  'wavering',
  'appeared',
  'integrated',
  'absent, unconfirmed',
  'never seen',
  'rising',
  'fading',
  'no reliable change',
] as const
export type Status = (typeof STATUSES)[number]

/** A run of zeros confirms that a reflex went when it spans this many days with this many occasions. */
export const CONFIRMED_DAYS = 28
export const CONFIRMED_OCCASIONS = 2

/** A run of zeros after a positive score. Indices into the occasions, both included. */
export interface ZeroRun {
  readonly from: number
  readonly to: number
  readonly confirmed: boolean
}

/** Runs of consecutive zeros that follow a positive occasion, in order. */
export function zeroRuns(occasions: readonly Occasion[]): ZeroRun[] {
  const runs: ZeroRun[] = []
  let seen = false
  for (let i = 0; i < occasions.length; i++) {
    if (occasions[i]!.severity > 0) {
      seen = true
      continue
    }
    if (!seen) continue
    const from = i
    while (i + 1 < occasions.length && occasions[i + 1]!.severity === 0) i++
    const span = occasions[i]!.day - occasions[from]!.day
    runs.push({
      from,
      to: i,
      confirmed: i - from + 1 >= CONFIRMED_OCCASIONS && span >= CONFIRMED_DAYS,
    })
  }
  return runs
}

interface Course {
  readonly status: Status | null
  readonly integratedOn: Day | null
  readonly backOn: Day | null
}

/** The statuses that the pattern of zeros alone decides; status null where change decides. */
export function courseOf(occasions: readonly Occasion[]): Course {
  const decided = (status: Status | null, integratedOn: Day | null = null, backOn: Day | null = null) => ({
    status,
    integratedOn,
    backOn,
  })
  if (occasions.length < 2) return decided('not enough scores')
  const runs = zeroRuns(occasions)
  const lastRun = runs.at(-1)
  if (occasions.at(-1)!.severity > 0) {
    const back = lastRun === undefined ? null : occasions[lastRun.to + 1]!.day
    const gone = runs.findLast((r) => r.confirmed)
    if (gone !== undefined) return decided('returned', occasions[gone.from]!.day, occasions[gone.to + 1]!.day)
    if (lastRun !== undefined) return decided('wavering', null, back)
    return decided(occasions.slice(0, -1).every((o) => o.severity === 0) ? 'appeared' : null)
  }
  if (lastRun === undefined) return decided('never seen')
  return lastRun.confirmed
    ? decided('integrated', occasions[lastRun.from]!.day)
    : decided('absent, unconfirmed')
}
