import type { ProgrammeLine, Session, Side, Target } from '../../src/records/index.ts'
import { on } from './rows.ts'

/** A programme line for hand-worked cases: 3 sessions a day of 10 repetitions with a brush, unless changed. */
export const prescribed = (
  client_id: string,
  target: Target,
  side: Side,
  from: string,
  until: string | null,
  changes: Partial<ProgrammeLine> = {},
): ProgrammeLine => ({
  client_id,
  target,
  side,
  stimulus: 'brush',
  sessions_per_day: 3,
  reps_per_session: 10,
  seconds_per_session: null,
  intensity: null,
  starts_on: on(from),
  ends_on: until === null ? null : on(until),
  ...changes,
})

/** One session of 10 repetitions by the family, unless changed. */
export const session = (
  client_id: string,
  target: Target,
  side: Side,
  date: string,
  changes: Partial<Session> = {},
): Session => ({
  client_id,
  done_on: on(date),
  done_at: null,
  target,
  side,
  stimulus: 'brush',
  reps: 10,
  seconds: null,
  intensity: null,
  done_by: 'family',
  reaction: null,
  note: null,
  ...changes,
})

/** The same session `times` times. */
export const times = (n: number, one: Session): Session[] => Array.from({ length: n }, () => one)

/** A log of one line as sessions a day, day by day from a date: `[3, 0, 1]` is three, none, one. */
export const log = (
  client_id: string,
  target: Target,
  side: Side,
  from: string,
  perDay: readonly number[],
  changes: Partial<Session> = {},
): Session[] =>
  perDay.flatMap((n, i) =>
    times(n, { ...session(client_id, target, side, from, changes), done_on: on(from) + i }),
  )
