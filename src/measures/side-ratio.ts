import type { Day, Target } from '../records/index.ts'
import type { ProgrammeDays } from './programme-days.ts'
import type { DoseUnit, Stretch } from './programme-stretches.ts'

/** Delivered on the left and right of one client and target against what was prescribed, in one unit. */
export interface RatioOverDays {
  readonly from: Day
  readonly to: Day
  readonly leftDelivered: number
  readonly rightDelivered: number
  readonly leftPrescribed: number
  readonly rightPrescribed: number
  /** left / right; Infinity where only the left was done, null where neither was. */
  readonly ratio: number | null
  readonly prescribedRatio: number | null
  /** ln(ratio / prescribed), infinite where one side was not done; null where it cannot be said. */
  readonly logDeviation: number | null
}

export interface SideRatio {
  readonly client_id: string
  readonly target: Target
  readonly unit: DoseUnit
  /** The last 28 days up to the last day on which a line of the target runs. */
  readonly recent: RatioOverDays
  readonly whole: RatioOverDays
  /** True where the recent ratio is beyond 25 % of what is prescribed, either way: |ln(ratio / prescribed)| > ln 1.25. */
  readonly flagged: boolean
}

export interface SideRatioOptions {
  /** Days looked at, 28 unless given. */
  readonly days?: number
  /** Share by which the ratio may differ, 0.25 unless given. */
  readonly tolerance?: number
}

/** One unit for both sides, or the sides cannot be compared: repetitions if all prescribe them, else seconds, else sessions. */
function commonUnit(stretches: readonly Stretch[]): DoseUnit {
  const all = stretches.flatMap((s) => s.segments)
  if (all.every((g) => g.unit === 'reps')) return 'reps'
  return all.every((g) => g.unit === 'seconds') ? 'seconds' : 'sessions'
}

function overDays(days: ProgrammeDays, s: number, unit: DoseUnit, from: Day, to: Day) {
  const stretch = days.stretches[s]!
  const shift = days.offset[s]! - stretch.from
  const delivered: ArrayLike<number> = unit === 'sessions' ? days.done : days.amount
  let done = 0
  let prescribed = 0
  for (const g of stretch.segments) {
    const first = Math.max(from, g.from)
    const last = Math.min(to, g.until)
    if (last < first) continue
    prescribed += (last - first + 1) * (unit === 'sessions' ? g.sessionsPerDay : g.amountPerDay)
    for (let day = first; day <= last; day++) done += delivered[shift + day]!
  }
  return { done, prescribed }
}

function ratioOver(
  days: ProgrammeDays,
  pair: { readonly left: readonly number[]; readonly right: readonly number[] },
  unit: DoseUnit,
  from: Day,
  to: Day,
): RatioOverDays {
  const total = (side: readonly number[]) =>
    side.reduce(
      (sum, s) => {
        const one = overDays(days, s, unit, from, to)
        return { done: sum.done + one.done, prescribed: sum.prescribed + one.prescribed }
      },
      { done: 0, prescribed: 0 },
    )
  const left = total(pair.left)
  const right = total(pair.right)
  const ratio = left.done + right.done > 0 ? left.done / right.done : null
  const prescribedRatio =
    left.prescribed > 0 && right.prescribed > 0 ? left.prescribed / right.prescribed : null
  return {
    from,
    to,
    leftDelivered: left.done,
    rightDelivered: right.done,
    leftPrescribed: left.prescribed,
    rightPrescribed: right.prescribed,
    ratio,
    prescribedRatio,
    logDeviation: ratio === null || prescribedRatio === null ? null : Math.log(ratio / prescribedRatio),
  }
}

/** Numbers of the left and right stretches of each client and target. */
function sidePairs(days: ProgrammeDays): Map<number, Map<Target, { left: number[]; right: number[] }>> {
  const pairs = new Map<number, Map<Target, { left: number[]; right: number[] }>>()
  days.stretches.forEach((stretch, s) => {
    if (stretch.side === 'midline') return
    const targets = pairs.get(stretch.client) ?? new Map<Target, { left: number[]; right: number[] }>()
    pairs.set(stretch.client, targets)
    const pair = targets.get(stretch.target) ?? { left: [], right: [] }
    targets.set(stretch.target, pair)
    pair[stretch.side].push(s)
  })
  return pairs
}

/**
 * Side ratio of every client and target prescribed on the left and on the right: delivered left / right against the
 * prescribed ratio. A session without a figure counts as prescribed.
 */
export function sideRatios(days: ProgrammeDays, options: SideRatioOptions = {}): SideRatio[] {
  const window = options.days ?? 28
  const limit = Math.log(1 + (options.tolerance ?? 0.25))
  const pairs = sidePairs(days)
  const rows: SideRatio[] = []
  for (const [client, targets] of pairs)
    for (const [target, pair] of targets) {
      if (pair.left.length === 0 || pair.right.length === 0) continue
      const stretches = [...pair.left, ...pair.right].map((s) => days.stretches[s]!)
      const unit = commonUnit(stretches)
      const first = Math.min(...stretches.map((s) => s.from))
      const last = Math.max(...stretches.map((s) => s.until))
      const recent = ratioOver(days, pair, unit, Math.max(first, last - window + 1), last)
      rows.push({
        client_id: days.programme.clientIds[client]!,
        target,
        unit,
        recent,
        whole: ratioOver(days, pair, unit, first, last),
        // The margin keeps rounding from flagging a ratio of exactly a quarter more.
        flagged: recent.logDeviation !== null && Math.abs(recent.logDeviation) > limit + 1e-12,
      })
    }
  return rows
}
