import fc from 'fast-check'
import { type Accounted, accountFor } from '../../src/load/account.ts'
import { readDelimited } from '../../src/load/formats/delimited.ts'
import { readTables } from '../../src/load/formats/readTables.ts'
import { memorySource } from '../../src/load/formats/source.ts'
import type { ReadingGuide } from '../../src/load/guide/guide.ts'
import { guideContext } from '../../src/load/guide/rules.ts'
import {
  type Assessment,
  type Client,
  CONSENTS,
  DISCHARGE_REASONS,
  DONE_BY,
  formatDay,
  isMidline,
  type ProgrammeLine,
  partsOf,
  REACTIONS,
  REFLEXES,
  type Records,
  SEXES,
  type Session,
  type Side,
  STIMULI,
  sessionTable,
  TARGETS,
  type Target,
  targetName,
} from '../../src/records/index.ts'

const AS_OF = 20634 // 2026-06-30
const FIRST = AS_OF - 200
const BORN_BEFORE = FIRST - 400

/** Reads files that lie in memory, as a folder of them would be read. */
export async function loadBytes(
  files: Readonly<Record<string, Uint8Array>>,
  guide: ReadingGuide = {},
): Promise<Accounted> {
  const context = guideContext(guide)
  const tables = []
  for (const file of Object.keys(files).sort())
    tables.push(...(await readTables(memorySource(file, files[file] as Uint8Array), context, readDelimited)))
  return accountFor(tables, context, AS_OF)
}

const orNull = <T>(value: fc.Arbitrary<T>): fc.Arbitrary<T | null> => fc.option(value, { nil: null, freq: 3 })
const day = fc.integer({ min: FIRST, max: AS_OF })
/** Text with everything that layouts must carry: marks, quotes, line breaks, other scripts. */
const text = fc
  .array(
    fc.constantFrom(
      'a',
      'Z',
      ' ',
      ',',
      ';',
      '\t',
      '|',
      '"',
      '\n',
      '\r\n',
      '=',
      'é',
      'ñ',
      '€',
      '“',
      '-',
      "'",
      '7',
    ),
    {
      minLength: 1,
      maxLength: 12,
    },
  )
  .map((parts) => `n${parts.join('')}e`)
const number = fc.integer({ min: 0, max: 400 }).map((n) => n / 4)

const sideOf = (target: Target, pick: Side): Side =>
  target !== 'ear_stimulation' && isMidline(target) ? 'midline' : pick === 'midline' ? 'left' : pick
const anySide = fc.constantFrom<Side>('left', 'right', 'midline')

const client = (client_id: string): fc.Arbitrary<Client> =>
  fc.record({
    client_id: fc.constant(client_id),
    birth_date: orNull(fc.integer({ min: 8000, max: BORN_BEFORE })),
    gestation_weeks: orNull(fc.integer({ min: 22, max: 44 })),
    sex: orNull(fc.constantFrom(...SEXES)),
    site: orNull(text),
    clinician: orNull(fc.constantFrom('A.V.', 'E.W.')),
    group: orNull(fc.constantFrom('early', 'waiting')),
    enrolled_on: orNull(day),
    discharged_on: orNull(day),
    discharge_reason: orNull(fc.constantFrom(...DISCHARGE_REASONS)),
    cautions: fc.constantFrom<Client['cautions']>([], ['shunt'], ['seizures', 'skin']),
    research_consent: orNull(fc.constantFrom(...CONSENTS)),
  })

const assessment = (ids: readonly string[]): fc.Arbitrary<Assessment> =>
  fc
    .record({
      client_id: fc.constantFrom(...ids),
      assessed_on: day,
      reflex: fc.constantFrom(...REFLEXES),
      side: anySide,
      score: fc.integer({ min: 0, max: 8 }).map((n) => n / 2),
      scale_max: fc.constantFrom(4, 5),
      rater_id: orNull(fc.constantFrom('A.V.', 'E.W.')),
    })
    .map((a) => ({ ...a, side: sideOf(a.reflex, a.side) }))

const programme = (ids: readonly string[]): fc.Arbitrary<ProgrammeLine> =>
  fc
    .record({
      client_id: fc.constantFrom(...ids),
      target: fc.constantFrom(...TARGETS),
      side: anySide,
      stimulus: orNull(fc.constantFrom(...STIMULI)),
      sessions_per_day: fc.integer({ min: 1, max: 5 }),
      reps_per_session: number,
      seconds_per_session: orNull(number),
      intensity: orNull(number),
      starts_on: day,
      ends_on: orNull(fc.integer({ min: AS_OF, max: AS_OF + 90 })),
    })
    .map((p) => ({ ...p, side: sideOf(p.target, p.side) }))

const session = (ids: readonly string[]): fc.Arbitrary<Session> =>
  fc
    .record({
      client_id: fc.constantFrom(...ids),
      done_on: day,
      done_at: orNull(fc.constantFrom('00:00', '07:43', '12:05', '23:59')),
      target: fc.constantFrom(...TARGETS),
      side: anySide,
      stimulus: orNull(fc.constantFrom(...STIMULI)),
      reps: orNull(number),
      seconds: orNull(number),
      intensity: orNull(number),
      done_by: orNull(fc.constantFrom(...DONE_BY)),
      reaction: orNull(fc.constantFrom(...REACTIONS)),
      note: orNull(text),
    })
    .map((s) => ({ ...s, side: sideOf(s.target, s.side) }))

/** A small caseload without duplicates: what reading any layout of it must give back. */
export const caseload: fc.Arbitrary<Records> = fc
  .uniqueArray(fc.constantFrom('SM-1', '000417', 'SM 2', 'sm-1', 'é;3'), { minLength: 1, maxLength: 4 })
  .chain((ids) =>
    fc.record({
      clients: fc.tuple(...ids.map(client)),
      assessments: fc.uniqueArray(assessment(ids), {
        maxLength: 6,
        selector: (a) => JSON.stringify([a.client_id, a.assessed_on, a.reflex, a.side, a.rater_id]),
      }),
      programmes: fc.uniqueArray(programme(ids), { maxLength: 5, selector: (p) => JSON.stringify(p) }),
      rows: fc.uniqueArray(session(ids), { maxLength: 12, selector: (s) => JSON.stringify(s) }),
    }),
  )
  .map(({ rows, ...rest }) => ({ ...rest, sessions: sessionTable(rows), problems: [], rows }))

/** How a caseload is written down. */
export interface Layout {
  readonly delimiter: ',' | ';' | '\t' | '|'
  readonly lineEnd: '\n' | '\r\n' | '\r'
  readonly encoding: 'utf-8' | 'utf-8 with mark' | 'utf-16le' | 'utf-16be' | 'windows-1252'
  readonly quoteAll: boolean
  readonly titles: boolean
  readonly blankLines: boolean
  readonly headings: 0 | 1 | 2
  readonly reversed: boolean
  readonly dates: 'iso' | 'day first' | 'month first' | 'named'
  readonly comma: boolean
  readonly sides: 0 | 1 | 2
  readonly names: 0 | 1
  readonly minutes: boolean
  /** The log in two files that share the middle third. */
  readonly overlap: boolean
}

export const layout: fc.Arbitrary<Layout> = fc.record({
  delimiter: fc.constantFrom<Layout['delimiter']>(',', ';', '\t', '|'),
  lineEnd: fc.constantFrom<Layout['lineEnd']>('\n', '\r\n', '\r'),
  encoding: fc.constantFrom<Layout['encoding']>(
    'utf-8',
    'utf-8 with mark',
    'utf-16le',
    'utf-16be',
    'windows-1252',
  ),
  quoteAll: fc.boolean(),
  titles: fc.boolean(),
  blankLines: fc.boolean(),
  headings: fc.constantFrom<Layout['headings']>(0, 1, 2),
  reversed: fc.boolean(),
  dates: fc.constantFrom<Layout['dates']>('iso', 'day first', 'month first', 'named'),
  comma: fc.boolean(),
  sides: fc.constantFrom<Layout['sides']>(0, 1, 2),
  names: fc.constantFrom<Layout['names']>(0, 1),
  minutes: fc.boolean(),
  overlap: fc.boolean(),
})

const HEADINGS: Readonly<Record<string, readonly string[]>> = {
  client_id: ['client_id', 'Client ID', 'Patient code'],
  birth_date: ['birth_date', 'Date of birth', 'DOB'],
  gestation_weeks: ['gestation_weeks', 'Gestation (weeks)', 'Weeks at birth'],
  sex: ['sex', 'Sex', 'Gender'],
  site: ['site', 'Site', 'Clinic'],
  clinician: ['clinician', 'Clinician', 'Therapist'],
  group: ['group', 'Group', 'Cohort'],
  enrolled_on: ['enrolled_on', 'Enrolled on', 'Date of enrolment'],
  discharged_on: ['discharged_on', 'Discharged on', 'Discharge date'],
  discharge_reason: ['discharge_reason', 'Discharge reason', 'Reason for discharge'],
  cautions: ['cautions', 'Cautions', 'Precautions'],
  research_consent: ['research_consent', 'Research consent', 'Consent to research'],
  assessed_on: ['assessed_on', 'Assessment date', 'Date assessed'],
  reflex: ['reflex', 'Reflex', 'Reflex tested'],
  side: ['side', 'Side', 'L/R'],
  score: ['score', 'Score', 'Grade'],
  scale_max: ['scale_max', 'Scale max', 'Out of'],
  rater_id: ['rater_id', 'Rater', 'Scored by'],
  target: ['target', 'Target', 'Exercise'],
  stimulus: ['stimulus', 'Type of stimulus', 'Stimulus used'],
  sessions_per_day: ['sessions_per_day', 'Sessions per day', 'Times a day'],
  reps_per_session: ['reps_per_session', 'Reps per session', 'Reps each time'],
  seconds_per_session: ['seconds_per_session', 'Seconds per session', 'Duration per session (s)'],
  intensity: ['intensity', 'Intensity', 'Device level'],
  starts_on: ['starts_on', 'Start date', 'From'],
  ends_on: ['ends_on', 'End date', 'Until'],
  done_on: ['done_on', 'Date', 'Session date'],
  done_at: ['done_at', 'Time', 'Start time'],
  reps: ['reps', 'No. of reps', 'Repetitions'],
  seconds: ['seconds', 'Seconds', 'Duration (s)'],
  done_by: ['done_by', 'Done by', 'By whom'],
  reaction: ['reaction', 'Reaction', 'Reaction seen'],
  note: ['note', 'Note', 'Comments'],
}
const DATES: ReadonlySet<string> = new Set([
  'birth_date',
  'enrolled_on',
  'discharged_on',
  'assessed_on',
  'starts_on',
  'ends_on',
  'done_on',
])
const SIDE_WORDS: Readonly<Record<Side, readonly string[]>> = {
  left: ['left', 'L', 'Lt.'],
  right: ['right', 'R', '(R)'],
  midline: ['midline', 'Midline', ''],
}
const MONTHS = ['Jan', 'Feb', 'March', 'Apr', 'May', 'June', 'Jul', 'Aug', 'Sept', 'Oct', 'Nov', 'December']

/** The guide a layout needs, and only what its files cannot prove. */
export const guideFor = (how: Layout): ReadingGuide => ({
  ...(how.dates === 'day first' ? { dates: 'day-month-year' as const } : {}),
  ...(how.dates === 'month first' ? { dates: 'month-day-year' as const } : {}),
  // Windows-1252 that happens to be UTF-8 as well (é€€ is 退) is proven by no file; what is none is recognised.
  ...(how.encoding === 'windows-1252' ? { encoding: 'windows-1252' as const } : {}),
  ...(how.comma ? { decimal: 'comma' as const } : {}),
})

/** A caseload as files. */
export function written(
  { clients, assessments, programmes, rows }: Records & { readonly rows: readonly Session[] },
  how: Layout,
): Record<string, Uint8Array> {
  const third = Math.floor(rows.length / 3)
  const logs: Record<string, readonly Session[]> = how.overlap
    ? { 'log-1.csv': rows.slice(0, rows.length - third), 'log-2.csv': rows.slice(third) }
    : { 'log.csv': rows }
  const files: Record<string, readonly object[]> = {
    'clients.csv': clients,
    'scores.csv': assessments,
    'plan.csv': programmes,
    ...logs,
  }
  return Object.fromEntries(
    Object.entries(files)
      .filter(([, records]) => records.length > 0)
      .map(([file, records]) => [file, bytesOf(records as readonly Record<string, unknown>[], how)]),
  )
}

function bytesOf(records: readonly Record<string, unknown>[], how: Layout): Uint8Array {
  const fields = Object.keys(records[0] as object)
  if (how.reversed) fields.reverse()
  const heading = (field: string): string =>
    field === 'seconds' && how.minutes ? 'Minutes' : (HEADINGS[field]?.[how.headings] as string)
  const lines = [
    fields.map(heading),
    ...records.map((record) => fields.map((field) => cell(field, record[field], how))),
  ].map((cells) => cells.map((text) => quoted(text, how)).join(how.delimiter))
  if (how.titles) lines.unshift('Saltmarsh export', 'printed today')
  const joint = how.blankLines ? `${how.lineEnd}${how.lineEnd}` : how.lineEnd
  return encoded(lines.join(joint) + (how.blankLines ? joint : ''), how)
}

function cell(field: string, value: unknown, how: Layout): string {
  if (value === null) return ''
  if (Array.isArray(value)) return value.join('; ').replaceAll('_', ' ')
  if (DATES.has(field)) return dateText(value as number, how)
  if (field === 'side') return SIDE_WORDS[value as Side][how.sides] as string
  if ((field === 'target' || field === 'reflex') && how.names === 1)
    return `${targetName(value as Target)}${value === 'ear_stimulation' ? '' : ' reflex'}`
  if (typeof value !== 'number') return String(value)
  const shown = String(field === 'seconds' && how.minutes ? value / 60 : value)
  return how.comma ? shown.replace('.', ',') : shown
}

function dateText(value: number, how: Layout): string {
  const { year, month, date } = partsOf(value)
  if (how.dates === 'iso') return formatDay(value)
  if (how.dates === 'named') return `${date} ${MONTHS[month - 1]} ${year}`
  return how.dates === 'day first' ? `${date}/${month}/${year}` : `${month}/${date}/${year}`
}

const quoted = (text: string, how: Layout): string =>
  how.quoteAll || /["\n\r]/.test(text) || text.includes(how.delimiter)
    ? `"${text.replaceAll('"', '""')}"`
    : text

const WINDOWS_1252: Readonly<Record<string, number>> = { '€': 0x80, '“': 0x93, é: 0xe9, ñ: 0xf1 }

function encoded(text: string, { encoding }: Layout): Uint8Array {
  if (encoding === 'windows-1252') return Uint8Array.from(text, (c) => WINDOWS_1252[c] ?? c.charCodeAt(0))
  if (encoding === 'utf-8') return Buffer.from(text, 'utf8')
  if (encoding === 'utf-8 with mark') return Buffer.from(`\ufeff${text}`, 'utf8')
  const wide = Buffer.from(`\ufeff${text}`, 'utf16le')
  return encoding === 'utf-16be' ? wide.swap16() : wide
}
