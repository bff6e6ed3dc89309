import {
  type Client,
  type Day,
  type Reaction,
  type Session,
  type SessionTable,
  type Side,
  type Stimulus,
  sessionAt,
  type Target,
} from '../records/index.ts'
import type { AsOf } from './as-of.ts'

/** One reaction. Left and right rows that are equal in all else are one. */
export interface ReactionEvent {
  readonly client_id: string
  readonly day: Day
  readonly at: string | null
  readonly target: Target
  readonly sides: readonly Side[]
  readonly stimulus: Stimulus | null
  readonly reaction: Exclude<Reaction, 'none'>
}

/** Session rows that were asked (reaction on record, `none` too) and not asked, by stimulus. */
export interface AskedByStimulus {
  readonly stimulus: Stimulus | null
  readonly asked: number
  readonly notAsked: number
}

/** Everything equal but the side. JSON keeps fields apart whatever they hold. */
const sameButSide = (s: Session): string =>
  JSON.stringify([
    s.client_id,
    s.done_on,
    s.done_at,
    s.target,
    s.stimulus,
    s.reps,
    s.seconds,
    s.intensity,
    s.done_by,
    s.reaction,
    s.note,
  ])

function eventsOf(rows: readonly Session[]): ReactionEvent[] {
  const groups = new Map<string, Record<Side, number> & { readonly row: Session }>()
  for (const row of rows) {
    const key = sameButSide(row)
    const group = groups.get(key) ?? { row, left: 0, right: 0, midline: 0 }
    groups.set(key, group)
    group[row.side]++
  }
  return [...groups.values()].flatMap((group) => {
    const { row } = group
    const event = (sides: readonly Side[]): ReactionEvent => ({
      client_id: row.client_id,
      day: row.done_on,
      at: row.done_at,
      target: row.target,
      sides,
      stimulus: row.stimulus,
      reaction: row.reaction as ReactionEvent['reaction'],
    })
    const both = Math.min(group.left, group.right)
    const one = group.left > both ? 'left' : 'right'
    return [
      ...Array.from({ length: both }, () => event(['left', 'right'])),
      ...Array.from({ length: Math.abs(group.left - group.right) }, () => event([one])),
      ...Array.from({ length: group.midline }, () => event(['midline'])),
    ]
  })
}

/** Reactions up to the as-of day, by day, and how many session rows were asked. One pass over two columns of codes. */
export function reactionEvents(
  sessions: SessionTable,
  { asOf }: AsOf,
): { readonly events: readonly ReactionEvent[]; readonly asked: readonly AskedByStimulus[] } {
  const stimuli = sessions.stimulus.values
  const NOT_ASKED = 0
  const NONE = 1
  const kind = Uint8Array.from(sessions.reaction.values, (r) =>
    r === null ? NOT_ASKED : r === 'none' ? NONE : 2,
  )
  const late = Uint8Array.from(sessions.done_on.values, (d) => Number(d > asOf))
  const asked = new Float64Array(stimuli.length)
  const notAsked = new Float64Array(stimuli.length)
  const rows: Session[] = []
  for (let i = 0; i < sessions.length; i++) {
    if (late[sessions.done_on.codes[i]!]) continue
    const what = kind[sessions.reaction.codes[i]!]!
    const stimulus = sessions.stimulus.codes[i]!
    if (what === NOT_ASKED) notAsked[stimulus]!++
    else asked[stimulus]!++
    if (what > NONE) rows.push(sessionAt(sessions, i))
  }
  return {
    events: eventsOf(rows).sort((a, b) => a.day - b.day),
    asked: stimuli.map((stimulus, k) => ({ stimulus, asked: asked[k]!, notAsked: notAsked[k]! })),
  }
}

/** Chronological age under this many months counts as "under 24 months". */
export const INFANT_MONTHS = 24

/** Whether any of these cautions is on a client's record. Where none is, that may also mean that nobody recorded them. */
export const hasCaution = (client: Client, ...cautions: readonly Client['cautions'][number][]): boolean =>
  client.cautions.some((c) => cautions.includes(c))
