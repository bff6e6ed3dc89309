import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import {
  type Assessment,
  type Client,
  columnOf,
  isReflex,
  type ProgrammeLine,
  parseDay,
  type Records,
  type Side,
  type Stimulus,
  type Target,
} from '../../src/records/index.ts'

/** Cells of a small well-formed CSV: quotes, doubled quotes, no line ends in a field. */
function cells(line: string): string[] {
  const out: string[] = []
  const pattern = /("(?:[^"]|"")*"|[^,]*)(?:,|$)/gy
  for (let m = pattern.exec(line); m !== null; m = pattern.exec(line)) {
    const cell = m[1]!
    out.push(cell.startsWith('"') ? cell.slice(1, -1).replaceAll('""', '"') : cell)
    if (pattern.lastIndex >= line.length) break
  }
  return out
}

/** Columns of a CSV file by heading. */
export function readTable(file: string): { readonly rows: number; column(name: string): string[] } {
  const [head, ...lines] = readFileSync(file, 'utf8').trimEnd().split('\n').map(cells)
  return {
    rows: lines.length,
    column: (name) => {
      const at = head!.indexOf(name)
      if (at < 0) throw new Error(`${file} has no column ${name}`)
      return lines.map((l) => l[at] ?? '')
    },
  }
}

const SIDES: Record<string, Side> = { l: 'left', left: 'left', r: 'right', right: 'right' }
const sideOf = (text: string): Side | null => {
  const t = text.trim().toLowerCase()
  return SIDES[t] ?? (['m', 'mid', 'midline'].includes(t) ? 'midline' : null)
}
const number = (text: string): number | null =>
  /^[+-]?\d+([.]\d+)?$/.test(text.trim()) ? Number(text) : null

/**
 * The caseload that the benchmark's maker writes, cleaned as its README says (it is what the peers read). A record
 * with an unknown side or an unusable score is left out; unreadable reps are emptied.
 */
export function readBenchmark(folder: string): Records {
  const table = (name: string) => readTable(join(folder, `${name}.csv`))
  const c = table('clients')
  const birth = c.column('birth_date')
  const site = c.column('site')
  const clients = c.column('client_id').map(
    (client_id, i): Client => ({
      client_id,
      birth_date: parseDay(birth[i]!),
      gestation_weeks: null,
      sex: null,
      site: site[i]!,
      clinician: null,
      group: null,
      enrolled_on: null,
      discharged_on: null,
      discharge_reason: null,
      cautions: [],
      research_consent: null,
    }),
  )
  return {
    clients,
    assessments: assessmentsOf(table('assessments')),
    programmes: programmesOf(table('programmes')),
    sessions: sessionsOf(table('sessions')),
    problems: [],
  }
}

type Table = ReturnType<typeof readTable>

function assessmentsOf(t: Table): Assessment[] {
  const [client, on, reflex, side, score, top, rater] = [
    'client_id',
    'assessed_on',
    'reflex',
    'side',
    'score',
    'scale_max',
    'rater_id',
  ].map((name) => t.column(name))
  return client!.flatMap((client_id, i): Assessment[] => {
    const value = number(score![i]!)
    const max = number(top![i]!)
    const where = sideOf(side![i]!)
    const what = reflex![i]!
    if (value === null || max === null || value < 0 || value > max || where === null || !isReflex(what))
      return []
    return [
      {
        client_id,
        assessed_on: parseDay(on![i]!)!,
        reflex: what,
        side: where,
        score: value,
        scale_max: max,
        rater_id: rater![i] || null,
      },
    ]
  })
}

function programmesOf(t: Table): ProgrammeLine[] {
  const [client, target, side, stimulus, sessions, reps, starts, ends] = [
    'client_id',
    'target',
    'side',
    'stimulus',
    'sessions_per_day',
    'reps_per_session',
    'starts_on',
    'ends_on',
  ].map((name) => t.column(name))
  return client!.flatMap((client_id, i): ProgrammeLine[] => {
    const where = sideOf(side![i]!)
    const perDay = number(sessions![i]!)
    if (where === null || perDay === null) return []
    return [
      {
        client_id,
        target: target![i] as Target,
        side: where,
        stimulus: (stimulus![i] || null) as Stimulus | null,
        sessions_per_day: perDay,
        reps_per_session: number(reps![i]!),
        seconds_per_session: null,
        intensity: null,
        starts_on: parseDay(starts![i]!)!,
        ends_on: parseDay(ends![i]!),
      },
    ]
  })
}

function sessionsOf(t: Table): Records['sessions'] {
  const side = t.column('side').map(sideOf)
  const keep = side.flatMap((s, i) => (s === null ? [] : [i]))
  const pick = (name: string) => {
    const all = t.column(name)
    return keep.map((i) => all[i]!)
  }
  const none = columnOf(keep.map(() => null))
  return {
    length: keep.length,
    client_id: columnOf(pick('client_id')),
    done_on: columnOf(pick('done_on').map((d) => parseDay(d)!)),
    done_at: none,
    target: columnOf(pick('target').map((x) => x as Target)),
    side: columnOf(keep.map((i) => side[i]!)),
    stimulus: none,
    reps: columnOf(pick('reps').map(number)),
    seconds: none,
    intensity: none,
    done_by: none,
    reaction: none,
    note: () => null,
  }
}
