import { type Day, formatDay, partsOf, type Records } from '../records/index.ts'

/** Something that must not leave, and what it is. */
export interface Identifier {
  readonly what: string
  readonly text: string
  /** Sought in the clinic's own words only: what it looks like stands rightly in our own sentences. */
  readonly inCellsOnly?: boolean
}

const MONTHS = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
]
const pad = (n: number): string => String(n).padStart(2, '0')

/** The spellings of a date that a text might hold; what stands between the parts is of no account. */
export function dateSpellings(day: Day): readonly string[] {
  const { year, month, date } = partsOf(day)
  const name = MONTHS[month - 1]!
  return [
    formatDay(day),
    `${pad(date)}/${pad(month)}/${year}`,
    `${pad(month)}/${pad(date)}/${year}`,
    `${date}/${month}/${year}`,
    `${month}/${date}/${year}`,
    `${year}/${month}/${date}`,
    `${year}${pad(month)}${pad(date)}`,
    `${pad(date)}${pad(month)}${year}`,
    `${pad(month)}${pad(date)}${year}`,
    ...[name, name.slice(0, 3)].flatMap((m) =>
      [date, pad(date), `${date}${ordinal(date)}`].flatMap((d) => [`${d} ${m} ${year}`, `${m} ${d} ${year}`]),
    ),
  ]
}

const ordinal = (n: number): string =>
  n % 10 === 1 && n !== 11 ? 'st' : n % 10 === 2 && n !== 12 ? 'nd' : n % 10 === 3 && n !== 13 ? 'rd' : 'th'

/** Spellings with a year of two digits. A list of age bands looks just like one. */
function shortDateSpellings(day: Day): readonly string[] {
  const { year, month, date } = partsOf(day)
  const short = pad(year % 100)
  return [
    `${pad(date)}/${pad(month)}/${short}`,
    `${pad(month)}/${pad(date)}/${short}`,
    `${date}/${month}/${short}`,
    `${month}/${date}/${short}`,
    `${short}/${pad(month)}/${pad(date)}`,
  ]
}

/** A note of fewer words than this says nothing that names anybody: "fine", "after bath". */
const NOTE_WORDS = 3

function* birthDates(days: Iterable<Day>): Generator<Identifier> {
  for (const day of days) {
    for (const text of dateSpellings(day)) yield { what: 'a birth date', text }
    for (const text of shortDateSpellings(day)) yield { what: 'a birth date', text, inCellsOnly: true }
  }
}

function* notes({ sessions }: Records): Generator<Identifier> {
  const seen = new Set<string>()
  for (let i = 0; i < sessions.length; i++) {
    const text = sessions.note(i)
    if (text === null || seen.has(text)) continue
    seen.add(text)
    if (text.trim().split(/\s+/).length >= NOTE_WORDS) yield { what: 'the text of a note', text }
  }
}

/** The values that are there, each once. */
function distinct<R, T>(rows: readonly R[], of: (row: R) => T | null): Set<T> {
  const all = new Set<T>()
  for (const row of rows) {
    const value = of(row)
    if (value !== null) all.add(value)
  }
  return all
}

/** As it stands, written together (SM-12 as SM12), and apart where letters meet digits (SM12 as SM 12). */
function* spelt(what: string, texts: Iterable<string>): Generator<Identifier> {
  for (const text of texts) {
    yield { what, text }
    const together = text.replace(/[^\p{L}\p{N}]/gu, '')
    if (together !== text) yield { what, text: together }
    const apart = text.replace(/(?<=\p{L})(?=\p{N})|(?<=\p{N})(?=\p{L})/gu, ' ')
    if (apart !== text) yield { what, text: apart, inCellsOnly: true }
  }
}

/**
 * Everything of the clinic's that must not leave, and what it is: of all its clients, whether they consented or not.
 * @param files names of the files that were read
 */
export function* identifiersOf(
  records: Records,
  secret: Uint8Array,
  files: readonly string[] = [],
): Generator<Identifier> {
  const { clients, assessments, problems } = records
  yield* spelt(
    'a client id',
    distinct(clients, (row) => row.client_id),
  )
  yield* spelt(
    'a clinician',
    distinct(clients, (row) => row.clinician),
  )
  yield* spelt(
    'a rater',
    distinct(assessments, (row) => row.rater_id),
  )
  yield* birthDates(distinct(clients, (row) => row.birth_date))
  yield* notes(records)
  const paths = [...files, ...problems.map((p) => p.file)].flatMap((f) => [f, f.split('/').at(-1)!])
  for (const text of new Set(paths)) yield { what: 'the name of a file', text, inCellsOnly: true }
  for (const encoding of ['hex', 'base64', 'base64url'] as const)
    yield { what: 'the secret', text: Buffer.from(secret).toString(encoding) }
}
