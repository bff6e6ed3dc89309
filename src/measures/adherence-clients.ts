import type { Day } from '../records/index.ts'
import { type AdherenceFigures, figuresOf } from './adherence-figures.ts'
import { type Delivered, deliveredOf } from './adherence-lines.ts'
import type { AdherenceSums } from './adherence-sums.ts'
import type { ProgrammeDays } from './programme-days.ts'

/** Running line-days in a row without a session that make a long break. */
export const LONG_BREAK_DAYS = 14
/** Running days looked back on from the last logged day. */
export const RECENT_DAYS = 28

/** The first break of 14 running line-days or more after the first session. Days without a running line do not count. */
export interface LongBreak {
  readonly startsOn: Day
  /** The day on which it reached its length. */
  readonly completeOn: Day
}

/** The last 28 days with a running line, up to the client's last logged day. */
export interface RecentDays {
  readonly from: Day
  readonly to: Day
  readonly lineDays: number
  readonly touched: number
  readonly shareTouched: number
}

export interface ClientAdherence extends AdherenceFigures, Delivered {
  readonly client_id: string
  readonly startsOn: Day
  /** Last day of any line up to the as-of day. */
  readonly until: Day
  readonly lineCount: number
  /** Days from the first start to the last day of any line. */
  readonly clientDays: number
  /** Of those, days with a session of any line. */
  readonly daysWithSession: number
  /** Longest run of client days without a session of any line, at either end too. */
  readonly longestGap: number
  readonly firstSessionOn: Day | null
  /** Days from the first start to the first session; null: never started. */
  readonly initiationDays: number | null
  readonly lastSessionOn: Day | null
  /** Last day with any session on record, on or off the programme. */
  readonly lastLoggedOn: Day | null
  readonly firstLongBreak: LongBreak | null
  /** null where fewer than 28 days with a running line lie up to the last logged day. */
  readonly recent: RecentDays | null
  /** True where a line runs on the as-of day. */
  readonly running: boolean
  /** First day of the earliest line that runs on the as-of day; null where none does. */
  readonly runningSince: Day | null
}

/** Per client day: how many lines run and how many were touched. */
interface ClientDayCounts {
  readonly running: Uint16Array
  readonly touched: Uint16Array
}

function clientDayCounts(days: ProgrammeDays, stretches: readonly number[], from: Day, length: number) {
  const counts: ClientDayCounts = { running: new Uint16Array(length), touched: new Uint16Array(length) }
  for (const s of stretches) {
    const stretch = days.stretches[s]!
    const shift = stretch.from - from
    const offset = days.offset[s]!
    for (let i = 0; i <= stretch.until - stretch.from; i++) {
      counts.running[shift + i]!++
      if (days.done[offset + i]! > 0) counts.touched[shift + i]!++
    }
  }
  return counts
}

function courseOfClient({ running, touched }: ClientDayCounts, from: Day) {
  let first: number | null = null
  let last: number | null = null
  let withSession = 0
  let gap = 0
  let longest = 0
  let idle = 0
  let idleFrom = 0
  let firstLongBreak: LongBreak | null = null
  for (let i = 0; i < touched.length; i++) {
    if (touched[i]! > 0) {
      first ??= i
      last = i
      withSession++
      gap = 0
      idle = 0
      continue
    }
    if (++gap > longest) longest = gap
    if (first === null || firstLongBreak !== null || running[i] === 0) continue
    if (idle === 0) idleFrom = i
    if (++idle === LONG_BREAK_DAYS) firstLongBreak = { startsOn: from + idleFrom, completeOn: from + i }
  }
  return { first, last, withSession, longest, firstLongBreak }
}

function recentDays(
  { running, touched }: ClientDayCounts,
  from: Day,
  lastLogged: Day | null,
): RecentDays | null {
  if (lastLogged === null) return null
  let found = 0
  let lineDays = 0
  let hit = 0
  let to: Day | null = null
  for (let i = Math.min(lastLogged - from, running.length - 1); i >= 0; i--) {
    if (running[i] === 0) continue
    to ??= from + i
    lineDays += running[i]!
    hit += touched[i]!
    if (++found === RECENT_DAYS)
      return { from: from + i, to, lineDays, touched: hit, shareTouched: hit / lineDays }
  }
  return null
}

function runningSince(days: ProgrammeDays, stretches: readonly number[]): Day | null {
  const running = stretches.map((s) => days.stretches[s]!).filter((s) => s.until === days.asOf)
  return running.length === 0 ? null : Math.min(...running.map((s) => s.from))
}

/** Adherence per client with a programme, in order of the clients table. */
export function clientAdherence(days: ProgrammeDays, sums: AdherenceSums): ClientAdherence[] {
  const stretchesOf: number[][] = days.programme.clientIds.map(() => [])
  days.stretches.forEach((s, i) => {
    stretchesOf[s.client]!.push(i)
  })
  return stretchesOf.flatMap((stretches, c) => {
    if (stretches.length === 0) return []
    const from = days.clientFrom[c]!
    const until = days.clientUntil[c]!
    const counts = clientDayCounts(days, stretches, from, until - from + 1)
    const course = courseOfClient(counts, from)
    const lastLogged = days.lastLogged[c]!
    return {
      client_id: days.programme.clientIds[c]!,
      startsOn: from,
      until,
      lineCount: stretches.reduce((n, s) => n + days.stretches[s]!.lines.length, 0),
      clientDays: until - from + 1,
      daysWithSession: course.withSession,
      longestGap: course.longest,
      firstSessionOn: course.first === null ? null : from + course.first,
      initiationDays: course.first,
      lastSessionOn: course.last === null ? null : from + course.last,
      lastLoggedOn: lastLogged,
      firstLongBreak: course.firstLongBreak,
      recent: recentDays(counts, from, lastLogged),
      running: until === days.asOf,
      runningSince: runningSince(days, stretches),
      ...figuresOf(sums.perClient, c),
      ...deliveredOf(days, stretches),
    }
  })
}
