import {
  type Day,
  type ProgrammeLine,
  type Records,
  type Session,
  type Stimulus,
  sessionAt,
} from '../records/index.ts'
import type { AsOf } from './as-of.ts'
import { compareText } from './series.ts'

/** What is on record of one stimulus for one client: sessions and programme lines, up to the as-of day. */
export interface StimulusRecord {
  readonly client_id: string
  readonly sessions: readonly Session[]
  readonly lines: readonly ProgrammeLine[]
}

/** A stretch of days on which the stimulus is on record. */
export interface RecordedDays {
  readonly from: Day
  readonly to: Day
  readonly of: 'session' | 'programme line'
}

/** Sessions and lines of a stimulus by client, for the clients asked about only. */
export function stimulusRecords(
  records: Records,
  stimulus: Stimulus,
  wanted: (client: string) => boolean,
  { asOf }: AsOf,
): Map<string, StimulusRecord> {
  const found = new Map<string, { client_id: string; sessions: Session[]; lines: ProgrammeLine[] }>()
  const of = (client_id: string) => {
    const known = found.get(client_id) ?? { client_id, sessions: [], lines: [] }
    found.set(client_id, known)
    return known
  }
  for (const line of records.programmes)
    if (line.stimulus === stimulus && line.starts_on <= asOf && wanted(line.client_id))
      of(line.client_id).lines.push(line)
  const t = records.sessions
  const code = t.stimulus.values.indexOf(stimulus)
  if (code < 0) return found
  const ask = Uint8Array.from(t.client_id.values, (id) => Number(wanted(id)))
  for (let i = 0; i < t.length; i++) {
    if (t.stimulus.codes[i] !== code || !ask[t.client_id.codes[i]!]) continue
    const session = sessionAt(t, i)
    if (session.done_on <= asOf) of(session.client_id).sessions.push(session)
  }
  return found
}

/** The days of a record: each session's day, each line from its start to its end, discharge or the as-of day. */
export function recordedDays(record: StimulusRecord, last: Day): RecordedDays[] {
  return [
    ...record.sessions.map((s) => ({ from: s.done_on, to: s.done_on, of: 'session' as const })),
    ...record.lines
      .map((l) => ({
        from: l.starts_on,
        to: Math.min(l.ends_on ?? last, last),
        of: 'programme line' as const,
      }))
      .filter((d) => d.to >= d.from),
  ]
}

/** An intensity two or more levels above the session before, of one target and side. */
export interface IntensityJump {
  readonly day: Day
  readonly session: Session
  readonly before: number
  readonly beforeOn: Day
  readonly after: number
}

/** Levels above the last session's that are looked at. */
export const JUMP_LEVELS = 2

/**
 * Jumps of the device's level between one session with a level and the next of the same target and side; the first session of a
 * target and side is set against the client's last session of any, so that a high start elsewhere is seen. Sessions of a day
 * without times have no order: they are taken from the lowest level up, so that a jump among them is never hidden.
 */
export function intensityJumps(sessions: readonly Session[]): IntensityJump[] {
  const jumps: IntensityJump[] = []
  const last = new Map<string, Session>()
  let lastOfAny: Session | undefined
  const ordered = sessions
    .filter((s) => s.intensity !== null)
    .sort(
      (a, b) =>
        a.done_on - b.done_on || compareText(a.done_at ?? '', b.done_at ?? '') || a.intensity! - b.intensity!,
    )
  for (const session of ordered) {
    const where = `${session.target}/${session.side}`
    const before = last.get(where) ?? lastOfAny
    if (before !== undefined && session.intensity! - before.intensity! >= JUMP_LEVELS)
      jumps.push({
        day: session.done_on,
        session,
        before: before.intensity!,
        beforeOn: before.done_on,
        after: session.intensity!,
      })
    last.set(where, session)
    lastOfAny = session
  }
  return jumps
}
