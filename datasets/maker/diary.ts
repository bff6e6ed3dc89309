import type { Day, ProgrammeLine, Reaction, Session } from '../../src/records/index.ts'
import { AS_OF, PARAMETERS } from './clinic.ts'
import type { Person } from './people.ts'
import type { Random } from './random.ts'

const NOTES = [
  'after bath',
  'before school',
  'at grandparents',
  'tired today',
  'slept well',
  'with music, calm',
  'said "again"',
]

const clock = (rng: Random, nth: number): string => {
  const hour = Math.min(21, 7 + nth * 5 + rng.whole(0, 2))
  return `${String(hour).padStart(2, '0')}:${String(rng.whole(0, 59)).padStart(2, '0')}`
}

/** Families note a reaction when they were asked to: most of the time nothing was seen. */
function reaction(rng: Random, stimulus: string | null): Reaction | null {
  if (rng.chance(0.55)) return null
  const u = rng.uniform()
  if (u < 0.008) return 'distress'
  if (u < 0.011) return 'sleepy'
  if ((stimulus === 'electrical' || stimulus === 'vibration' || stimulus === 'brush') && u < 0.015)
    return 'skin'
  if (u < 0.0155) return 'vomiting'
  return 'none'
}

const isWeekend = (day: Day): boolean => (day + 4) % 7 === 0 || (day + 4) % 7 === 6

function doneOnLine(rng: Random, p: Person, line: ProgrammeLine, day: Day): number {
  const chance = p.adherence * (isWeekend(day) ? PARAMETERS.weekend_factor : 1)
  let done = 0
  for (let i = 0; i < line.sessions_per_day; i++) if (rng.chance(chance)) done++
  return p.story === 'overdoing' && rng.chance(0.4) ? done + 3 : done
}

function lineDay(rng: Random, p: Person, line: ProgrammeLine, day: Day): Session[] {
  const swap = p.story === 'sides_swapped' && line.side !== 'midline'
  const side = swap ? (line.side === 'left' ? 'right' : 'left') : line.side
  return Array.from({ length: doneOnLine(rng, p, line, day) }, (_, nth) => ({
    client_id: line.client_id,
    done_on: day,
    done_at: p.site === 'Plover' || rng.chance(0.1) ? null : clock(rng, nth),
    target: line.target,
    side,
    stimulus: line.stimulus,
    reps:
      line.reps_per_session === null || rng.chance(0.05)
        ? null
        : Math.max(1, line.reps_per_session + rng.whole(-1, 1)),
    seconds: line.seconds_per_session,
    intensity: line.intensity,
    done_by: rng.chance(0.03) ? ('clinician' as const) : ('family' as const),
    reaction: reaction(rng, line.stimulus),
    note: rng.chance(0.015) ? rng.pick(NOTES) : null,
  }))
}

/** The last session before or on `day`, changed: for what is planted on purpose. */
function withChanged(sessions: Session[], day: Day, change: Partial<Session>): Session[] {
  const at = sessions.findLastIndex((s) => s.done_on <= day)
  return sessions.map((s, i) => (i === at ? { ...s, ...change } : s))
}

function plant(p: Person, sessions: Session[]): Session[] {
  const ear = sessions.filter((s) => s.target === 'ear_stimulation')
  switch (p.story) {
    case 'seizure_reaction_last_week':
      return withChanged(sessions, AS_OF - 4, {
        reaction: 'seizure',
        note: 'stiff for a few seconds, then fine',
      })
    case 'colour_reaction_long_ago':
      return withChanged(sessions, AS_OF - 75, { reaction: 'colour' })
    case 'intensity_jump':
      return sessions.map((s) => (s === ear.at(-1) ? { ...s, intensity: 5 } : s))
    default:
      return sessions
  }
}

/** What the family wrote down. */
export function diary(rng: Random, p: Person, lines: readonly ProgrammeLine[]): Session[] {
  if (p.story === 'never_started' || lines.length === 0) return []
  const first = Math.min(...lines.map((l) => l.starts_on)) + rng.pick([0, 0, 1, 1, 2, 4])
  const until = Math.min(AS_OF, p.client.discharged_on ?? AS_OF, p.stopsOn ?? AS_OF)
  const out: Session[] = []
  for (let day = first; day <= until; day++) {
    const written = rng.chance(PARAMETERS.diary_kept_share)
    const today = lines
      .filter((l) => l.starts_on <= day && day <= (l.ends_on ?? AS_OF))
      .flatMap((l) => lineDay(rng, p, l, day))
    if (written) out.push(...today)
  }
  return plant(p, out)
}
