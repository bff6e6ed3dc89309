import type { Assessment, ProgrammeLine, Session, Target } from '../../src/records/index.ts'
import { CATALOGUE, type Client, type Day, formatDay, partsOf, targetName } from '../../src/records/index.ts'
import type { SiteName } from './clinic.ts'

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']

/** A site's habits: each of the three exports in its own way. */
interface Habit {
  readonly delimiter: string
  readonly newline: string
  readonly extension: string
  date(day: Day | null): string
  time(at: string | null): string
  side(side: string): string
  target(target: Target): string
  readonly clients: readonly [string, (c: Client) => string][]
  readonly assessments: readonly [string, (a: Assessment) => string][]
  readonly programmes: readonly [string, (l: ProgrammeLine) => string][]
  readonly sessions: readonly [string, (s: Session) => string][]
}

const text = (x: string | number | null): string => (x === null ? '' : String(x))
const spaced = (x: string | null): string => (x ?? '').replaceAll('_', ' ')
const SHORT: Partial<Record<Target, string>> = {
  asymmetric_tonic_neck: 'ATNR',
  symmetric_tonic_neck: 'STNR',
  tonic_labyrinthine: 'TLR',
}

const iso = (day: Day | null): string => (day === null ? '' : formatDay(day))
const slashed = (day: Day | null): string => {
  if (day === null) return ''
  const { year, month, date } = partsOf(day)
  return `${String(date).padStart(2, '0')}/${String(month).padStart(2, '0')}/${year}`
}
const worded = (day: Day | null): string => {
  if (day === null) return ''
  const { year, month, date } = partsOf(day)
  return `${date} ${MONTHS[month - 1]} ${year}`
}
const halves = (at: string | null): string => {
  if (at === null) return ''
  const hour = Number(at.slice(0, 2))
  return `${hour % 12 === 0 ? 12 : hour % 12}${at.slice(2)} ${hour < 12 ? 'am' : 'pm'}`
}

const HERON: Habit = {
  delimiter: ',',
  newline: '\n',
  extension: 'csv',
  date: iso,
  time: text,
  side: (s) => (s === 'left' ? 'L' : s === 'right' ? 'R' : s),
  target: (t) => SHORT[t] ?? targetName(t),
  clients: [
    ['Client ID', (c) => c.client_id],
    ['Date of birth', (c) => iso(c.birth_date)],
    ['Gestation (weeks)', (c) => text(c.gestation_weeks)],
    ['Sex', (c) => text(c.sex)],
    ['Site', (c) => text(c.site)],
    ['Clinician', (c) => text(c.clinician)],
    ['Group', (c) => text(c.group)],
    ['Enrolled on', (c) => iso(c.enrolled_on)],
    ['Discharged on', (c) => iso(c.discharged_on)],
    ['Discharge reason', (c) => text(c.discharge_reason)],
    ['Cautions', (c) => c.cautions.map(spaced).join('; ')],
    ['Research consent', (c) => text(c.research_consent)],
  ],
  assessments: [
    ['Client ID', (a) => a.client_id],
    ['Assessment date', (a) => iso(a.assessed_on)],
    ['Reflex', (a) => HERON.target(a.reflex)],
    ['Side', (a) => HERON.side(a.side)],
    ['Score', (a) => text(a.score)],
    ['Rater', (a) => text(a.rater_id)],
  ],
  programmes: [
    ['Client ID', (l) => l.client_id],
    ['Target', (l) => HERON.target(l.target)],
    ['Side', (l) => HERON.side(l.side)],
    ['Stimulus', (l) => text(l.stimulus)],
    ['Sessions per day', (l) => text(l.sessions_per_day)],
    ['Reps per session', (l) => text(l.reps_per_session)],
    ['Seconds per session', (l) => text(l.seconds_per_session)],
    ['Intensity', (l) => text(l.intensity)],
    ['Start date', (l) => iso(l.starts_on)],
    ['End date', (l) => iso(l.ends_on)],
  ],
  sessions: [
    ['Client ID', (s) => s.client_id],
    ['Date', (s) => iso(s.done_on)],
    ['Time', (s) => text(s.done_at)],
    ['Target', (s) => HERON.target(s.target)],
    ['Side', (s) => HERON.side(s.side)],
    ['Stimulus', (s) => text(s.stimulus)],
    ['Reps', (s) => text(s.reps)],
    ['Seconds', (s) => text(s.seconds)],
    ['Intensity', (s) => text(s.intensity)],
    ['Done by', (s) => text(s.done_by)],
    ['Reaction', (s) => text(s.reaction)],
    ['Note', (s) => text(s.note)],
  ],
}

const renamed = <T>(
  from: readonly [string, (row: T) => string][],
  names: Record<string, string>,
  cells: Record<string, (row: T) => string> = {},
): readonly [string, (row: T) => string][] =>
  from.map(([heading, cell]) => [names[heading] ?? heading, cells[heading] ?? cell])

const CURLEW: Habit = {
  ...HERON,
  delimiter: ';',
  newline: '\r\n',
  date: slashed,
  time: halves,
  side: (s) => s,
  target: (t) => (t === 'ear_stimulation' ? 'Ear stimulation' : `${CATALOGUE[t].name} reflex`),
  clients: renamed<Client>(
    HERON.clients,
    {
      'Client ID': 'Client',
      'Gestation (weeks)': 'Gestation weeks',
      'Enrolled on': 'Enrolment date',
      'Discharged on': 'Discharge date',
    },
    {
      'Date of birth': (c) => slashed(c.birth_date),
      'Enrolled on': (c) => slashed(c.enrolled_on),
      'Discharged on': (c) => slashed(c.discharged_on),
    },
  ),
  assessments: renamed<Assessment>(
    HERON.assessments,
    {
      'Client ID': 'Client',
      'Assessment date': 'Date assessed',
      Reflex: 'Reflex tested',
      Side: 'L/R',
      Score: 'Score (0-4)',
      Rater: 'Assessed by',
    },
    {
      'Assessment date': (a) => slashed(a.assessed_on),
      Reflex: (a) => CURLEW.target(a.reflex),
      Side: (a) => CURLEW.side(a.side),
    },
  ),
  programmes: renamed<ProgrammeLine>(
    HERON.programmes,
    {
      'Client ID': 'Client',
      Target: 'Reflex',
      Side: 'L/R',
      'Start date': 'Starts on',
      'End date': 'Ends on',
    },
    {
      Target: (l) => CURLEW.target(l.target),
      Side: (l) => CURLEW.side(l.side),
      'Start date': (l) => slashed(l.starts_on),
      'End date': (l) => slashed(l.ends_on),
    },
  ),
  sessions: renamed<Session>(
    HERON.sessions,
    {
      'Client ID': 'Client',
      Date: 'Session date',
      Time: 'Start time',
      Target: 'Reflex',
      Side: 'L/R',
      Stimulus: 'Type of stimulus',
      Reps: 'Repetitions',
      Seconds: 'Duration (s)',
      Intensity: 'Device level',
      'Done by': 'Carried out by',
      Reaction: 'Reaction seen',
      Note: 'Comments',
    },
    {
      Date: (s) => slashed(s.done_on),
      Time: (s) => halves(s.done_at),
      Target: (s) => CURLEW.target(s.target),
      Side: (s) => CURLEW.side(s.side),
    },
  ),
}

const upper = (s: string): string => s.charAt(0).toUpperCase() + s.slice(1)

const PLOVER: Habit = {
  ...HERON,
  delimiter: '\t',
  extension: 'txt',
  date: worded,
  side: upper,
  target: targetName,
  clients: renamed<Client>(
    HERON.clients,
    { 'Client ID': 'Client code', 'Date of birth': 'Birth date' },
    {
      'Date of birth': (c) => worded(c.birth_date),
      'Enrolled on': (c) => worded(c.enrolled_on),
      'Discharged on': (c) => worded(c.discharged_on),
    },
  ),
  assessments: renamed<Assessment>(
    HERON.assessments,
    {
      'Client ID': 'Client code',
      'Assessment date': 'Assessed on',
      Reflex: 'Reflex name',
      Side: 'Body side',
      Score: 'Score 0 to 4',
      Rater: 'Scored by',
    },
    {
      'Assessment date': (a) => worded(a.assessed_on),
      Reflex: (a) => targetName(a.reflex),
      Side: (a) => upper(a.side),
    },
  ),
  programmes: renamed<ProgrammeLine>(
    HERON.programmes,
    { 'Client ID': 'Client code', Target: 'Target reflex', Side: 'Body side' },
    {
      Target: (l) => targetName(l.target),
      Side: (l) => upper(l.side),
      'Start date': (l) => worded(l.starts_on),
      'End date': (l) => worded(l.ends_on),
    },
  ),
  sessions: renamed<Session>(
    HERON.sessions.filter(([heading]) => heading !== 'Time'),
    {
      'Client ID': 'Client code',
      Date: 'Day',
      Target: 'Target reflex',
      Side: 'Body side',
      Stimulus: 'Stimulus used',
      Reps: 'No. of reps',
      Seconds: 'Minutes',
      Intensity: 'Intensity level',
      'Done by': 'By whom',
      Note: 'Notes',
    },
    {
      Date: (s) => worded(s.done_on),
      Target: (s) => targetName(s.target),
      Side: (s) => upper(s.side),
      Seconds: (s) => (s.seconds === null ? '' : String(s.seconds / 60)),
    },
  ),
}

export const HABITS: Record<SiteName, Habit> = { Heron: HERON, Curlew: CURLEW, Plover: PLOVER }

export type { Habit }

/** A table as lines of cells, the headings first. */
export const tableOf = <T>(
  columns: readonly [string, (row: T) => string][],
  rows: readonly T[],
): string[][] => [
  columns.map(([heading]) => heading),
  ...rows.map((row) => columns.map(([, cell]) => cell(row))),
]

export function delimited(habit: Habit, lines: readonly (readonly string[])[]): string {
  const quoted = (cell: string): string =>
    cell.includes(habit.delimiter) || /["\r\n]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell
  return lines.map((cells) => cells.map(quoted).join(habit.delimiter) + habit.newline).join('')
}
