import { type Reactions, reactions } from '../measures/index.ts'
import type { Day, Records } from '../records/index.ts'

/**
 * Reactions of some clients. The sessions of the others count as not asked, which a release does not print: that costs a
 * byte a session, where a copy of the sessions would cost all their columns.
 */
export function reactionsOf(records: Records, asOf: Day, clients: ReadonlySet<string>): Reactions {
  const { sessions } = records
  const { values, codes } = sessions.reaction
  const notAsked = values.includes(null) ? values.indexOf(null) : values.length
  const isOut = sessions.client_id.values.map((id) => !clients.has(id))
  const clientCodes = sessions.client_id.codes
  const own = codes.slice()
  for (let i = 0; i < own.length; i++) if (isOut[clientCodes[i]!]) own[i] = notAsked
  const reaction = { codes: own, values: notAsked < values.length ? values : [...values, null] }
  return reactions({ ...records, sessions: { ...sessions, reaction } }, { asOf })
}
