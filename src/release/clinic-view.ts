import {
  allSeries,
  type ClientChange,
  changeAccount,
  clientChanges,
  HORIZONS,
  type Series,
} from '../measures/index.ts'
import type { Day, Records, Reflex } from '../records/index.ts'
import { lastSessions, type Person, personOf, SharedLists } from './people.ts'

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

/** Rows of each client, by place among the clients, as places in a table: no array of their own for each of many clients. */
class RowsByClient<T extends { readonly client_id: string }> {
  readonly #rows: readonly T[]
  readonly #order: Int32Array
  readonly #first: Int32Array

  constructor(rows: readonly T[], placeOf: ReadonlyMap<string, number>) {
    this.#rows = rows
    this.#first = new Int32Array(placeOf.size + 2)
    for (const { client_id } of rows) {
      const place = placeOf.get(client_id)
      if (place !== undefined) this.#first[place + 2]!++
    }
    for (let p = 2; p < this.#first.length; p++) this.#first[p]! += this.#first[p - 1]!
    this.#order = new Int32Array(this.#first.at(-1)!)
    rows.forEach(({ client_id }, i) => {
      const place = placeOf.get(client_id)
      if (place !== undefined) this.#order[this.#first[place + 1]!++] = i
    })
  }

  of(place: number): T[] {
    return Array.from(
      this.#order.subarray(this.#first[place]!, this.#first[place + 1]!),
      (i) => this.#rows[i]!,
    )
  }
}

/** Client means per reflex, as in the table of before and after by reflex. */
function changesOf(records: Records, series: readonly Series[], asOf: Day): ReflexChange[] {
  const { pairs } = changeAccount(records, series, HORIZONS.weeks12, asOf)
  return [...new Set(pairs.map((p) => p.reflex))].flatMap((reflex) =>
    clientChanges(pairs.filter((p) => p.reflex === reflex)).map((change) => ({ reflex, ...change })),
  )
}

export function clinicView(records: Records, asOf: Day): ClinicView {
  const clients = records.clients.toSorted((a, b) =>
    a.client_id < b.client_id ? -1 : Number(a.client_id > b.client_id),
  )
  const placeOf = new Map(clients.map(({ client_id }, place) => [client_id, place]))
  const assessments = new RowsByClient(records.assessments, placeOf)
  const programmes = new RowsByClient(records.programmes, placeOf)
  const own = (place: number): Records => ({
    ...records,
    clients: [clients[place]!],
    assessments: assessments.of(place),
    programmes: programmes.of(place),
  })
  const sessions = lastSessions(records, asOf)
  const shared = new SharedLists()
  const consenting: Person[] = []
  const changes: ReflexChange[] = []
  clients.forEach((client, place) => {
    const theirs = own(place)
    const series = allSeries(theirs, { asOf })
    for (const change of changesOf(theirs, series, asOf)) changes.push(change)
    if (client.research_consent === 'yes')
      consenting.push(
        personOf({
          client,
          programmes: theirs.programmes,
          series,
          lastSession: sessions.get(client.client_id),
          asOf,
          shared,
        }),
      )
  })
  return { consenting, changes, seriesOf: (id) => allSeries(own(placeOf.get(id)!), { asOf }) }
}
