import type { SmallestReliableDifference } from '../../src/measures/index.ts'
import {
  type Assessment,
  type Client,
  type ProgrammeLine,
  parseDay,
  type Records,
  type Reflex,
  type Session,
  type Side,
  sessionTable,
} from '../../src/records/index.ts'
import { clientRow, lineRow } from './simulate.ts'

/** A smallest reliable difference of one point on a scale of 4. */
export const ONE_POINT: SmallestReliableDifference = {
  severity: 0.25,
  from: 'own double scorings',
  pairs: 30,
  clients: 10,
  standardErrorOfMeasurement: 0.09,
  method: '',
  note: '',
}

/** A day from its date, for hand-worked cases. */
export const on = (date: string): number => {
  const day = parseDay(date)
  if (day === null) throw new Error(`not a date: ${date}`)
  return day
}

/** Scores of one series as [date, score] or [date, score, rater]. Scale 0 to 4. */
export const scores = (
  client_id: string,
  reflex: Reflex,
  side: Side,
  rows: readonly (readonly [string, number, string?])[],
): Assessment[] =>
  rows.map(([date, score, rater]) => ({
    client_id,
    assessed_on: on(date),
    reflex,
    side,
    score,
    scale_max: 4,
    rater_id: rater ?? 'r1',
  }))

export const client = (client_id: string, birth: string | null, changes: Partial<Client> = {}): Client => ({
  ...clientRow(client_id, birth === null ? null : on(birth), null),
  ...changes,
})

export const line = (client_id: string, reflex: Reflex, side: Side, start: string): ProgrammeLine =>
  lineRow(client_id, reflex, side, on(start))

export const recordsOf = (part: {
  readonly clients: readonly Client[]
  readonly assessments?: readonly Assessment[]
  readonly programmes?: readonly ProgrammeLine[]
  readonly sessions?: readonly Session[]
}): Records => ({
  clients: part.clients,
  assessments: part.assessments ?? [],
  programmes: part.programmes ?? [],
  sessions: sessionTable(part.sessions ?? []),
  problems: [],
})
