import type { Column } from './column.ts'
import type { Client, Records } from './tables.ts'

const picked = <T>(column: Column<T>, at: Int32Array): Column<T> => {
  const codes = column.codes.slice(0, at.length)
  for (let i = 0; i < at.length; i++) codes[i] = column.codes[at[i]!]!
  return { codes, values: column.values }
}

/** The records of the clients that hold, in the same form. Problems belong to files, not to clients, and stay out. */
export function recordsWhere(records: Records, holds: (client: Client) => boolean): Records {
  const clients = records.clients.filter(holds)
  const ids = new Set(clients.map((c) => c.client_id))
  const { sessions } = records
  const mine = Uint8Array.from(sessions.client_id.values, (id) => Number(ids.has(id)))
  let count = 0
  const at = new Int32Array(sessions.length)
  for (let i = 0; i < sessions.length; i++) if (mine[sessions.client_id.codes[i]!]) at[count++] = i
  const rows = at.slice(0, count)
  return {
    clients,
    assessments: records.assessments.filter((a) => ids.has(a.client_id)),
    programmes: records.programmes.filter((p) => ids.has(p.client_id)),
    sessions: {
      length: count,
      client_id: picked(sessions.client_id, rows),
      done_on: picked(sessions.done_on, rows),
      done_at: picked(sessions.done_at, rows),
      target: picked(sessions.target, rows),
      side: picked(sessions.side, rows),
      stimulus: picked(sessions.stimulus, rows),
      reps: picked(sessions.reps, rows),
      seconds: picked(sessions.seconds, rows),
      intensity: picked(sessions.intensity, rows),
      done_by: picked(sessions.done_by, rows),
      reaction: picked(sessions.reaction, rows),
      note: (i) => sessions.note(rows[i]!),
    },
    problems: [],
  }
}
