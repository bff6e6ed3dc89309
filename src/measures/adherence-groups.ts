import type { Records } from '../records/index.ts'
import type { Adherence } from './adherence.ts'
import { type AdherenceFigures, figuresOf } from './adherence-figures.ts'
import { SUMS } from './adherence-sums.ts'
import { clientsById } from './as-of.ts'
import { compareText } from './series.ts'

/** The figures of the clients of one clinician, site or group, in alphabetical order: no ranking. */
export interface GroupAdherence extends AdherenceFigures {
  /** null where the clients table has none. */
  readonly name: string | null
  readonly clients: number
}

/** Adherence by a field of the clients table. Line-days of all clients of a group are added up; the means are over line-days. */
export function adherenceByGroup(
  records: Records,
  log: Adherence,
  by: 'clinician' | 'site' | 'group',
): GroupAdherence[] {
  const clients = clientsById(records)
  const groups = new Map<string | null, { sums: Float64Array; clients: number }>()
  log.days.programme.clientIds.forEach((id, c) => {
    if (log.days.clientUntil[c]! < log.days.clientFrom[c]!) return
    const name = clients.get(id)?.[by] ?? null
    const group = groups.get(name) ?? { sums: new Float64Array(SUMS), clients: 0 }
    groups.set(name, group)
    group.clients++
    for (let k = 0; k < SUMS; k++) group.sums[k]! += log.sums.perClient[c * SUMS + k]!
  })
  return [...groups]
    .sort(([a], [b]) => (a === null ? 1 : b === null ? -1 : compareText(a, b)))
    .map(([name, group]) => ({ name, clients: group.clients, ...figuresOf(group.sums, 0) }))
}
