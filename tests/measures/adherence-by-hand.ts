import type { Client, ProgrammeLine, Session, Side, Target } from '../../src/records/index.ts'

/** Adherence of one client, target and side, figured day by day and row by row straight from the definitions. */
export interface SlowAdherence {
  lineDays: number
  logged: number
  dose: number
  full: number
  touched: number
  over: number
  sessions: number
  longestGap: number
}

/**
 * The slow road: no codes, no arrays of days. Walks every day on which a line of the client, target and side runs, sums what its
 * running lines prescribe and what its rows deliver. Lines apart in time give one row of figures each way they touch.
 */
export function slowAdherence(
  client: Client,
  target: Target,
  side: Side,
  lines: readonly ProgrammeLine[],
  sessions: readonly Session[],
  asOf: number,
): SlowAdherence {
  const own = lines.filter(
    (l) =>
      l.client_id === client.client_id && l.target === target && l.side === side && l.sessions_per_day > 0,
  )
  const end = (l: ProgrammeLine) => Math.min(l.ends_on ?? asOf, client.discharged_on ?? asOf, asOf)
  const rows = sessions.filter((s) => s.client_id === client.client_id && s.done_on <= asOf)
  const first = Math.min(...own.map((l) => l.starts_on))
  const out: SlowAdherence = {
    lineDays: 0,
    logged: 0,
    dose: 0,
    full: 0,
    touched: 0,
    over: 0,
    sessions: 0,
    longestGap: 0,
  }
  let gap = 0
  for (let day = first; day <= asOf; day++) {
    const running = own.filter((l) => l.starts_on <= day && day <= end(l))
    if (running.length === 0) {
      gap = 0
      continue
    }
    const done = rows.filter((s) => s.done_on === day && s.target === target && s.side === side)
    const perDay = running.reduce((n, l) => n + l.sessions_per_day, 0)
    const total = (per: 'reps_per_session' | 'seconds_per_session') =>
      running.every((l) => l[per] !== null)
        ? running.reduce((n, l) => n + l.sessions_per_day * l[per]!, 0)
        : 0
    const [figure, prescribed] =
      total('reps_per_session') > 0
        ? (['reps', total('reps_per_session')] as const)
        : total('seconds_per_session') > 0
          ? (['seconds', total('seconds_per_session')] as const)
          : ([null, perDay] as const)
    const delivered = done.reduce((n, s) => n + (figure === null ? 1 : (s[figure] ?? prescribed / perDay)), 0)
    out.lineDays++
    if (rows.some((s) => s.done_on === day)) out.logged++
    out.dose += Math.min(1, delivered / prescribed)
    if (done.length >= perDay) out.full++
    if (done.length > 0) out.touched++
    if (delivered > 1.5 * prescribed) out.over++
    out.sessions += done.length
    gap = done.length > 0 ? 0 : gap + 1
    out.longestGap = Math.max(out.longestGap, gap)
  }
  return out
}
