import {
  allSeries,
  type ClientChange,
  changeAccount,
  clientChanges,
  HORIZONS,
  type Series,
} from '../measures/index.ts'
import type { Assessment, Client, Day, ProgrammeLine, Records, Reflex } from '../records/index.ts'
import { lastSessions, type Person, personOf } from './people.ts'

/** One client with all that was scored and prescribed. */
interface OneClient {
  readonly client: Client
  readonly assessments: Assessment[]
  readonly programmes: ProgrammeLine[]
}

/** A client's change from baseline to 12 weeks in one reflex, where it counts. */
export interface ReflexChange extends ClientChange {
  readonly reflex: Reflex
}

/** What a release needs to know of the clinic's people. All is each client's own, the same whether the others are there or not. */
export interface ClinicView {
  /** Who consented to research, sorted by client, so that nothing depends on the order of the files. */
  readonly consenting: readonly Person[]
  /** Of all clients. */
  readonly changes: readonly ReflexChange[]
  /** The series of a client, made anew at each call: those of a large caseload at once would not fit in memory. */
  readonly seriesOf: (clientId: string) => Series[]
}

function byClient(records: Records): Map<string, OneClient> {
  const sorted = records.clients.toSorted((a, b) =>
    a.client_id < b.client_id ? -1 : Number(a.client_id > b.client_id),
  )
  const all = new Map(
    sorted.map((client) => [client.client_id, { client, assessments: [], programmes: [] } as OneClient]),
  )
  for (const a of records.assessments) all.get(a.client_id)?.assessments.push(a)
  for (const p of records.programmes) all.get(p.client_id)?.programmes.push(p)
  return all
}

/** Client means per reflex, as in the table of before and after by reflex. */
function changesOf(records: Records, series: readonly Series[], asOf: Day): ReflexChange[] {
  const { pairs } = changeAccount(records, series, HORIZONS.weeks12, asOf)
  return [...new Set(pairs.map((p) => p.reflex))].flatMap((reflex) =>
    clientChanges(pairs.filter((p) => p.reflex === reflex)).map((change) => ({ reflex, ...change })),
  )
}

export function clinicView(records: Records, asOf: Day): ClinicView {
  const all = byClient(records)
  const own = (one: OneClient): Records => ({ ...records, ...one, clients: [one.client] })
  const seriesOf = (id: string): Series[] => allSeries(own(all.get(id)!), { asOf })
  const sessions = lastSessions(records, asOf)
  const consenting: Person[] = []
  const changes: ReflexChange[] = []
  for (const one of all.values()) {
    const { client, programmes } = one
    const series = seriesOf(client.client_id)
    for (const change of changesOf(own(one), series, asOf)) changes.push(change)
    if (client.research_consent === 'yes')
      consenting.push(
        personOf({ client, programmes, series, lastSession: sessions.get(client.client_id), asOf }),
      )
  }
  return { consenting, changes, seriesOf }
}
