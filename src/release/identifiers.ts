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

/**
 * Everything of the clinic's that must not leave, and what it is: of all its clients, whether they consented or not.
 * @param files names of the files that were read
 */
export function identifiersOf(
  records: Records,
  secret: Uint8Array,
  files: readonly string[] = [],
): Identifier[] {
  const named = (what: string, texts: Iterable<string | null>): Identifier[] =>
    [...new Set(texts)].filter((text) => text !== null).map((text) => ({ what, text }))
  /** As it stands, written together (SM-12 as SM12), and apart where letters meet digits (SM12 as SM 12). */
  const spelt = (what: string, texts: Iterable<string | null>): Identifier[] =>
    named(what, texts).flatMap(({ text }) => {
      const together = text.replace(/[^\p{L}\p{N}]/gu, '')
      const apart = text.replace(/(?<=\p{L})(?=\p{N})|(?<=\p{N})(?=\p{L})/gu, ' ')
      return [
        { what, text },
        ...(together === text ? [] : [{ what, text: together }]),
        ...(apart === text ? [] : [{ what, text: apart, inCellsOnly: true }]),
      ]
    })
  const paths = [...files, ...records.problems.map((p) => p.file)].flatMap((f) => [f, f.split('/').at(-1)!])
  return [
    ...spelt(
      'a client id',
      records.clients.map((c) => c.client_id),
    ),
    ...spelt(
      'a clinician',
      records.clients.map((c) => c.clinician),
    ),
    ...spelt(
      'a rater',
      records.assessments.map((a) => a.rater_id),
    ),
    ...birthDates(new Set(records.clients.map((c) => c.birth_date).filter((d) => d !== null))),
    ...notes(records),
    ...named('the name of a file', paths).map((i) => ({ ...i, inCellsOnly: true })),
    ...(['hex', 'base64', 'base64url'] as const).map((encoding) => ({
      what: 'the secret',
      text: Buffer.from(secret).toString(encoding),
    })),
  ]
}
