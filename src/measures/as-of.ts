import { UserError } from '../errors.ts'
import { type Client, type Day, formatDay, type Records } from '../records/index.ts'

/** The option every measure takes: the day for which everything is reckoned; later records are left out. */
export interface AsOf {
  readonly asOf: Day
}

/**
 * The latest date on which three or more clients have records (scores, sessions or a programme start): what a person
 * who gave no as-of day probably means. One stray date in the future cannot move it. Null where there is none.
 */
export function latestSharedDay(records: Records, clients = 3): Day | null {
  const byDay = new Map<Day, Set<string>>()
  const note = (day: Day, client: string) => {
    const seen = byDay.get(day)
    if (seen === undefined) byDay.set(day, new Set([client]))
    else if (seen.size < clients) seen.add(client)
  }
  for (const a of records.assessments) note(a.assessed_on, a.client_id)
  for (const p of records.programmes) note(p.starts_on, p.client_id)
  const { client_id, done_on, length } = records.sessions
  // One mark per (day, client) pair: sessions are many, pairs are few.
  const full = new Uint8Array(done_on.values.length)
  for (let i = 0; i < length; i++) {
    const d = done_on.codes[i]!
    if (full[d]) continue
    const day = done_on.values[d]!
    note(day, client_id.values[client_id.codes[i]!]!)
    if (byDay.get(day)!.size >= clients) full[d] = 1
  }
  let latest: Day | null = null
  for (const [day, seen] of byDay) if (seen.size >= clients && (latest === null || day > latest)) latest = day
  return latest
}

/** The as-of day, or an error for the person who left it out that names the likely one. */
export function requireAsOf(records: Records, asOf: Day | null | undefined): Day {
  if (asOf !== null && asOf !== undefined) return asOf
  const likely = latestSharedDay(records)
  throw new UserError(
    likely === null
      ? 'An as-of day is needed: the day for which the report is made. There is no date on which three or more clients have records to suggest one.'
      : `An as-of day is needed: the day for which the report is made. The latest date on which three or more clients have records is ${formatDay(likely)}.`,
  )
}

/** True where the client has left on or before the day. A discharge that lies ahead has not happened. */
export const isDischarged = (client: Client, asOf: Day): boolean =>
  client.discharged_on !== null && client.discharged_on <= asOf

/** Clients by id. */
export const clientsById = (records: Records): ReadonlyMap<string, Client> =>
  new Map(records.clients.map((c) => [c.client_id, c]))
