import type { Records } from '../records/index.ts'
import { clientsById } from './as-of.ts'
import { type ChangePair, changePair, type Horizon, isPair, LEFT_OUT } from './change-pairs.ts'
import { type Exclusion, ExclusionTally } from './result.ts'
import type { Series } from './series.ts'

/** Everyone accounted for: `enrolled` = `n` + the sum of `exclusions`. */
export interface Account {
  readonly enrolled: number
  readonly n: number
  readonly exclusions: readonly Exclusion[]
}

/** All series at one horizon: who counts toward change, who stands apart, who is left out and why. */
export interface ChangeAccount {
  /** Past their usual age at baseline: these count toward change. */
  readonly pairs: readonly ChangePair[]
  /** Age-appropriate at baseline, shown apart. */
  readonly ageAppropriate: readonly ChangePair[]
  readonly series: Account
  readonly clients: Account
}

/** How far a series came before it was left out: a client without any pair is counted under the furthest. */
const FURTHEST: readonly string[] = [
  LEFT_OUT.ageAppropriate,
  LEFT_OUT.ageUnknown,
  LEFT_OUT.noFollowUp,
  LEFT_OUT.tooEarly,
  LEFT_OUT.discharged,
  LEFT_OUT.baselineTooOld,
  LEFT_OUT.noBaselineEver,
  LEFT_OUT.noProgramme,
]
const NO_SCORE = 'no score by the as-of day'

/** Accounts for every series and every client of the records at a horizon. */
export function changeAccount(
  records: Records,
  series: readonly Series[],
  horizon: Horizon,
  asOf: number,
): ChangeAccount {
  const clients = clientsById(records)
  const tally = new ExclusionTally()
  const pairs: ChangePair[] = []
  const ageAppropriate: ChangePair[] = []
  const furthest = new Map<string, number>()
  for (const one of series) {
    const found = changePair(one, clients.get(one.client_id), horizon, asOf)
    const reason = isPair(found) ? whyApart(found) : found.reason
    if (isPair(found) && reason === null) pairs.push(found)
    if (isPair(found) && reason === LEFT_OUT.ageAppropriate) ageAppropriate.push(found)
    if (reason !== null) tally.add(reason)
    const place = reason === null ? -1 : FURTHEST.indexOf(reason)
    furthest.set(one.client_id, Math.min(furthest.get(one.client_id) ?? FURTHEST.length, place))
  }
  return {
    pairs,
    ageAppropriate,
    series: { enrolled: series.length, n: pairs.length, exclusions: tally.list() },
    clients: clientAccount([...clients.keys()], furthest),
  }
}

const whyApart = (pair: ChangePair): string | null =>
  pair.standing === 'age-appropriate'
    ? LEFT_OUT.ageAppropriate
    : pair.standing === 'age unknown'
      ? LEFT_OUT.ageUnknown
      : null

function clientAccount(ids: readonly string[], furthest: ReadonlyMap<string, number>): Account {
  const tally = new ExclusionTally()
  let n = 0
  for (const id of ids) {
    const place = furthest.get(id)
    if (place === undefined) tally.add(NO_SCORE)
    else if (place < 0) n++
    else tally.add(FURTHEST[place]!)
  }
  return { enrolled: ids.length, n, exclusions: tally.list() }
}
