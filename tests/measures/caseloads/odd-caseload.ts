import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import {
  type Assessment,
  CATALOGUE,
  type Client,
  csvOf,
  type ProgrammeLine,
  REFLEXES,
  type Records,
  type Reflex,
  type Session,
  type Side,
  sessionTable,
} from '../../../src/records/index.ts'
import { on } from '../rows.ts'

/** Numbers in [0, 1) from a seed (mulberry32), the same on every machine. */
function stream(seed: number): () => number {
  let state = seed
  return () => {
    state = (state + 0x6d2b79f5) | 0
    let t = Math.imul(state ^ (state >>> 15), 1 | state)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
}

export const ODD_AS_OF = on('2025-09-30')
const CLIENTS = 36
const RATERS = ['B.', 'A.', 'C.']

type Draw = ReturnType<typeof stream>
const chance = (u: Draw, p: number): boolean => u() < p
const whole = (u: Draw, from: number, to: number): number => from + Math.floor(u() * (to - from + 1))
const pick = <T>(u: Draw, xs: readonly T[]): T => xs[Math.floor(u() * xs.length)]!

function oddClient(u: Draw, i: number): Client {
  const enrolled = on('2024-11-01') + whole(u, 0, 90)
  const born = chance(u, 0.25) ? whole(u, 60, 500) : whole(u, 800, 4000)
  return {
    client_id: `K${String(i).padStart(2, '0')}`,
    birth_date: chance(u, 0.12) ? null : enrolled - born,
    gestation_weeks: chance(u, 0.3) ? null : whole(u, 27, 41),
    sex: null,
    site: chance(u, 0.1) ? null : pick(u, ['Heron', 'Plover']),
    clinician: chance(u, 0.1) ? null : pick(u, ['N.', 'M.', 'O.']),
    group: null,
    enrolled_on: enrolled,
    // Some left before their programme began, some during it, one leaves after the as-of day.
    discharged_on: i === 5 ? ODD_AS_OF + 10 : chance(u, 0.25) ? enrolled + whole(u, 5, 300) : null,
    discharge_reason: null,
    cautions: [],
    research_consent: null,
  }
}

/** Lines of one reflex and side: plain, a dose changed mid-way, two that overlap, seconds only, half a session a day. */
function oddLines(
  u: Draw,
  client_id: string,
  target: Reflex,
  side: Side,
  start: number,
  kind: number,
): ProgrammeLine[] {
  const line = (from: number, until: number | null, part: Partial<ProgrammeLine> = {}): ProgrammeLine => ({
    client_id,
    target,
    side,
    stimulus: 'brush',
    sessions_per_day: whole(u, 1, 3),
    reps_per_session: side === 'left' ? 20 : 10,
    seconds_per_session: null,
    intensity: null,
    starts_on: from,
    ends_on: until,
    ...part,
  })
  const seconds = { reps_per_session: null, seconds_per_session: 45 }
  const length = whole(u, 40, 150)
  switch (kind) {
    case 0:
      return [line(start, null)]
    case 1:
      return [line(start, start + 34), line(start + 35, start + 34 + length, { reps_per_session: 7 })]
    case 2:
      return [line(start, start + length), line(start + 20, start + 60, { reps_per_session: 5 })]
    case 3:
      return [line(start, start + length, seconds)]
    case 4:
      return [line(start, start + length), line(start + 30, start + 45, seconds)]
    case 5:
      return [line(start, start + length, { sessions_per_day: 0.5 })]
    case 6:
      return [line(start, start + 25), line(start + 25, null), line(start + 400, null)]
    default:
      return [line(start, start + 20), line(start + 70, start + 70 + length, { seconds_per_session: 30 })]
  }
}

function oddScores(
  u: Draw,
  client_id: string,
  reflex: Reflex,
  side: Side,
  start: number,
  top: number,
): Assessment[] {
  const gap = whole(u, 18, 40)
  const level = chance(u, 0.15) ? 0 : 0.35 + 0.65 * u()
  const fall = 0.12 * u() - 0.015
  // Some come back after having gone, some waver, some rise or appear late.
  const course = u()
  const scores: Assessment[] = []
  const visits = whole(u, 1, 11)
  const offset = whole(u, -95, 5)
  for (let k = 0; k < visits; k++) {
    const day = start + offset + k * gap + whole(u, 0, 6)
    if (day > ODD_AS_OF + 20) break
    const raters = chance(u, 0.12) ? 2 : 1
    const first = whole(u, 0, 2)
    for (let r = 0; r < raters; r++) {
      const late = k >= 2 && k >= visits - 2
      const bend = course < 0.12 ? (late ? 0.5 : k > 1 ? -1 : 0) : course < 0.2 && k % 3 === 1 ? -1 : 0
      const rise = course > 0.9 && late ? 0.45 : 0
      const truth = level - fall * Math.max(0, day - start) * (7 / 30) + 0.16 * (u() - 0.5) + bend + rise
      const scale = chance(u, 0.04) ? 4 : top
      scores.push({
        client_id,
        assessed_on: day,
        reflex,
        side,
        score: Math.min(scale, Math.max(0, Math.round(truth * scale))),
        scale_max: scale,
        rater_id: chance(u, 0.05) ? null : RATERS[(first + r) % 3]!,
      })
    }
  }
  return scores
}

function oddSessions(u: Draw, line: ProgrammeLine, keen: number): Session[] {
  const sessions: Session[] = []
  const last = Math.min(line.ends_on ?? ODD_AS_OF, ODD_AS_OF + 3)
  const begins = line.starts_on + (chance(u, 0.2) ? whole(u, 1, 25) : -1)
  const pauseFrom = begins + whole(u, 10, 120)
  const pauseTo = pauseFrom + (chance(u, 0.3) ? whole(u, 12, 20) : -1)
  for (let day = begins; day <= last + 2; day += whole(u, 1, 3)) {
    if ((day >= pauseFrom && day <= pauseTo) || !chance(u, keen)) continue
    const times = chance(u, 0.1) ? 5 : whole(u, 1, 3)
    for (let k = 0; k < times; k++) {
      const reps = line.reps_per_session ?? 12
      sessions.push({
        client_id: line.client_id,
        done_on: day,
        done_at: null,
        target: line.target,
        side: line.side,
        stimulus: chance(u, 0.1) ? null : line.stimulus,
        reps: chance(u, 0.15) ? null : Math.max(0, reps + whole(u, -6, 6)),
        seconds: chance(u, 0.3) ? null : whole(u, 20, 60),
        intensity: null,
        done_by: 'family',
        reaction: chance(u, 0.3) ? null : chance(u, 0.02) ? pick(u, ['skin', 'distress', 'sleepy']) : 'none',
        note: null,
      })
    }
  }
  return sessions
}

interface Rows {
  readonly clients: Client[]
  readonly assessments: Assessment[]
  readonly programmes: ProgrammeLine[]
  readonly sessions: Session[]
}

/** Clients whose days lie on the ends of the windows: baseline 60 and 61 days old, follow-up on days 28, 63, 105, 106, 154 and 210,
 * breaks of 13 and 14 days, a reaction on both sides at once, half a day short of the upper age at baseline, exactly 1.5 times the dose. */
function edgeCases(u: Draw): Rows {
  const rows: Rows = { clients: [], assessments: [], programmes: [], sessions: [] }
  const start = on('2025-02-01')
  const ends = [
    [-60, 105],
    [-61, 105],
    [-1, 106],
    [0, 63],
    [-60, 62, 210],
    [-30, 28],
    [-3, 27],
    [-10, 154],
  ]
  ends.forEach((days, i) => {
    const client_id = `E${i}`
    const born = i === 3 ? 6 * 30.4375 : 1500
    rows.clients.push({
      ...oddClient(u, i),
      client_id,
      birth_date: start - Math.floor(born),
      discharged_on: null,
    })
    for (const side of ['left', 'right'] as const) {
      days.forEach((day, k) => {
        const score = k === 0 ? 4 : i % 3
        rows.assessments.push({
          client_id,
          assessed_on: start + day,
          reflex: 'spinal_galant',
          side,
          score,
          scale_max: 4,
          rater_id: 'A.',
        })
      })
      const [line] = oddLines(u, client_id, 'spinal_galant', side, start, 0)
      const programme = { ...line!, sessions_per_day: 2 }
      rows.programmes.push(programme)
      const pause = 13 + (i % 2)
      for (let day = start; day <= start + 80; day++) {
        if (day > start + 20 && day <= start + 20 + pause) continue
        const session: Session = {
          client_id,
          done_on: day,
          done_at: '08:00',
          target: 'spinal_galant',
          side,
          stimulus: 'brush',
          reps: programme.reps_per_session! * 3,
          seconds: null,
          intensity: null,
          done_by: 'family',
          reaction: day === start + 5 ? 'skin' : 'none',
          note: null,
        }
        rows.sessions.push(day === start + 5 ? { ...session, reps: 11 } : session)
      }
    }
  })
  return rows
}

/**
 * A small invented caseload of what is odd: one-sided programmes, lines that overlap or follow each other with another dose, seconds
 * instead of repetitions, half a session a day, no birth date, early birth, scales 0 to 2, 0 to 4 and 0 to 100 (and mixed), two raters or
 * none named, series at the floor, clients who left, records after the as-of day, sessions without figures and without programme.
 */
export function oddCaseload(seed = 20250930, { edges = true } = {}): Records {
  const u = stream(seed)
  const clients: Client[] = []
  const assessments: Assessment[] = []
  const programmes: ProgrammeLine[] = []
  const sessions: Session[] = []
  for (let i = 0; i < CLIENTS; i++) {
    const client = oddClient(u, i)
    clients.push(client)
    const top = pick(u, [2, 4, 4, 100])
    const start = client.enrolled_on! + whole(u, 15, 140)
    const keen = 0.25 + 0.75 * u()
    const prescribed = chance(u, 0.92)
    for (const reflex of REFLEXES.filter(() => chance(u, 0.3))) {
      const sides: Side[] = CATALOGUE[reflex].midline ? ['midline'] : ['left', 'right']
      const oneSided = chance(u, 0.25)
      const kind = whole(u, 0, 7)
      for (const side of sides) {
        assessments.push(...oddScores(u, client.client_id, reflex, side, start, top))
        if (!prescribed || (oneSided && side === 'right')) continue
        const lines = oddLines(u, client.client_id, reflex, side, start + (chance(u, 0.1) ? 7 : 0), kind)
        programmes.push(...lines)
        sessions.push(...lines.flatMap((line) => oddSessions(u, line, keen)))
      }
    }
  }
  const edge = edges ? edgeCases(u) : null
  clients.push(...(edge?.clients ?? []))
  assessments.push(...(edge?.assessments ?? []))
  programmes.push(...(edge?.programmes ?? []))
  sessions.push(...(edge?.sessions ?? []))
  // The same day, side and rater twice is for the reader of files to settle: one of them is kept here.
  const key = (a: Assessment) => [a.client_id, a.assessed_on, a.reflex, a.side, a.rater_id].join()
  const scored = [...new Map(assessments.map((a) => [key(a), a])).values()]
  return { clients, assessments: scored, programmes, sessions: sessionTable(sessions), problems: [] }
}

/** Writes the caseload's tables, for R to read. */
export function writeOddCaseload(folder: string): void {
  mkdirSync(folder, { recursive: true })
  const records = oddCaseload()
  for (const table of ['clients', 'assessments', 'programmes', 'sessions'] as const)
    writeFileSync(join(folder, `${table}.csv`), [...csvOf(records, table)].join(''))
}
