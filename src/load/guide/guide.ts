import { TABLE_COLUMNS } from '../../records/index.ts'

/**
 * The reading guide: one small YAML file beside the exports for what a file cannot prove. These types ARE the
 * YAML, key for key. Everywhere the direction is theirs → ours, as a person at the clinic says it
 * ("Strokes = reps", "soft brush = brush").
 *
 * Rules at the top hold for every table; an entry of `files` holds for the tables it matches and wins over the
 * top. Where several entries match, all hold, and the later wins key by key (`columns`, `words`, `no_value`,
 * `constants` are joined, not replaced).
 */
export interface ReadingGuide extends TableRules {
  readonly files?: readonly FileRules[]
}

export interface FileRules extends TableRules {
  /**
   * Which tables: path under the folder with `*`, `**` and `?` (`home*.csv`, `2026/*.csv`), any case. A pattern
   * without `/` also matches in subfolders. A workbook's sheets are `book.xlsx#Home log`; `*.xlsx` matches all its
   * sheets, hidden ones excepted: a hidden sheet is read only when a pattern names it after `#` without wildcards.
   */
  readonly match: string | readonly string[]
}

/** What a table holds; `nothing` is not read (and the report says so). Left out: the headings must show it. */
export type Holds = Kind | 'nothing'
export const KINDS = ['clients', 'assessments', 'programmes', 'sessions'] as const
export type Kind = (typeof KINDS)[number]

export interface TableRules {
  readonly holds?: Holds
  /**
   * Heading as the file has it → our field. A list is for a heading that stands more than once: first, second, ...
   * (`Date: [ignore, done_on]`). For nested JSON the heading is the dotted path (`client.code`). Several headings may
   * lead to one field: the first that is filled counts, in the order given here. Headings not named here are still
   * recognised by their everyday names.
   */
  readonly columns?: Readonly<Record<string, ColumnRule | readonly ColumnRule[]>>
  /**
   * Values no column holds: `done_by: family`. Used where the table has no column for the field, or its cell is blank.
   * May build on what `name` finds: `client_id: "SM-{client_id}"`.
   */
  readonly constants?: Readonly<Partial<Record<Field, string | number>>>
  /** Where a name holds values: `diary_{client_id}.csv`; for a sheet its own name, `{client_id}`. `*` is anything. */
  readonly name?: string
  /**
   * Where a cell above the headings holds a value for the whole table: field → the words before it, in the same cell
   * (`Diary of: SM-7`) or in one to its left (`Client | SM-7`).
   */
  readonly above?: Readonly<Partial<Record<Field, string>>>
  /** Order of day and month in numeric dates that could be two: for all date columns, or by field. */
  readonly dates?: DateOrder | Readonly<Partial<Record<DateField, DateOrder>>>
  /** What a two-digit year counts from: 2000 reads 26 as 2026. For all date columns, or by field. */
  readonly century?: number | Readonly<Partial<Record<DateField, number>>>
  /**
   * Words in dates: theirs → the English month (`März: march`), or `ignore` for weekdays and the like (`Mo: ignore`). Any
   * case, with or without a dot after it. English months and weekdays are understood beside these.
   */
  readonly date_words?: Readonly<Record<string, DateWord>>
  /**
   * Bare numbers in date columns are a spreadsheet's own count of days, saved as text: from 1900 (46083 is 2026-03-02) or
   * 1904. A workbook says it itself.
   */
  readonly day_numbers?: DayNumbers
  readonly decimal?: 'point' | 'comma'
  /** Unit of bare numbers in the length of a session, where the heading does not say it. Default seconds. */
  readonly units?: { readonly seconds?: Unit }
  /** Top of the scale where no column tells it. Default 4. */
  readonly scale?: number
  /**
   * Their words for values → ours, by field, any case (`side: {mid: midline, bilat: both}`, `score: {"++": 2}`).
   * `target` and `reflex` are one list. The everyday words stay understood beside these.
   */
  readonly words?: Readonly<Partial<Record<NamedField, Readonly<Record<string, string | number>>>>>
  /** Marks that mean "no value here", for every field or by field (`score: [nt]`). Blank always does. */
  readonly no_value?: readonly string[] | Readonly<Partial<Record<NamedField, readonly string[]>>>
  /** What joins several cautions in one cell. Default: `;` or `,`. */
  readonly cautions_joined_by?: string
  /** Tables with a column for each day, rater or reflex: what their headings and what the cells under them hold. */
  readonly across?: AcrossRules
  /** Wide tables: one row holds several exercises, a column for each exercise, side and measure. */
  readonly wide?: WideRules
  /** Fields whose blank cells mean "as in the row above" (written once for a block, not merged). */
  readonly fill_down?: readonly NamedField[]
  /** Merged cells of a workbook: their value holds for every row they span (`fill`, the default) or the first only. */
  readonly merged_cells?: 'fill' | 'first'
  /** Row of the headings from 1, as a text editor or the workbook counts. Default: found by its headings. */
  readonly heading_row?: number
  /**
   * JSON: the dotted path to the lists whose entries are the records, where lists lie within lists
   * (`clients.days.sessions`). What stands around a list holds for each of its entries.
   */
  readonly entries?: string
  /** FHIR: the `system` of the identifier that is the clinic's code, where a Patient has several. */
  readonly identifier_system?: string
  readonly encoding?: Encoding
  readonly delimiter?: Delimiter
}

/** `unknown` takes back what the top of the guide says: only what a column proves counts. */
export const DATE_ORDERS = ['day-month-year', 'month-day-year', 'year-month-day', 'unknown'] as const
export type DateOrder = (typeof DATE_ORDERS)[number]
/** What a word in a date can be. */
export const DATE_WORDS = [
  'january',
  'february',
  'march',
  'april',
  'may',
  'june',
  'july',
  'august',
  'september',
  'october',
  'november',
  'december',
  'ignore',
] as const
export type DateWord = (typeof DATE_WORDS)[number]
export const DAY_NUMBERS = ['from-1900', 'from-1904'] as const
export type DayNumbers = (typeof DAY_NUMBERS)[number]
/** `h:mm` is for lengths written as hours and minutes of a clock; a bare number under it has no unit. */
export const UNITS = ['seconds', 'minutes', 'hours', 'h:mm'] as const
export type Unit = (typeof UNITS)[number]
export const ENCODINGS = ['utf-8', 'utf-16le', 'utf-16be', 'windows-1252'] as const
export type Encoding = (typeof ENCODINGS)[number]
export const DELIMITERS = ['comma', 'semicolon', 'tab', 'pipe'] as const
export type Delimiter = (typeof DELIMITERS)[number]

/** Our fields. `date` is the date of whatever the table holds (assessed_on, done_on, starts_on). */
const { clients, assessments, programmes, sessions } = TABLE_COLUMNS
export type Field = (typeof TABLE_COLUMNS)[Kind][number] | 'record_id'
export const FIELDS = [
  ...new Set<Field>([...clients, ...assessments, ...programmes, ...sessions, 'record_id']),
] as unknown as readonly [Field, ...Field[]]
export const DATE_FIELDS = [
  'birth_date',
  'enrolled_on',
  'discharged_on',
  'assessed_on',
  'starts_on',
  'ends_on',
  'done_on',
  'date',
] as const
export type DateField = (typeof DATE_FIELDS)[number]

/** A field, or `date`, `minutes` or `hours` for what they are in the table at hand. */
export type NamedField = Field | 'date' | 'minutes' | 'hours'
export const NAMED_FIELDS: readonly [NamedField, ...NamedField[]] = [...FIELDS, 'date', 'minutes', 'hours']

/**
 * What a column may be said to hold: a field of ours; `minutes` and `hours` for a session's length in that unit;
 * `date` (assessed_on, done_on or starts_on, by what the table holds); `record_id`, the source's own number of a
 * record; `ignore`. `reflex` and `target`, `reps` and `reps_per_session`, `seconds` and `seconds_per_session` may
 * stand for each other. A date column may hold the time as well.
 */
export type ColumnField = NamedField | 'ignore'
export const COLUMN_FIELDS: readonly ColumnField[] = [...NAMED_FIELDS, 'ignore']

/**
 * A field, or more exactly: a column that is about one side, target or stimulus only (paired columns
 * `Left: {field: score, side: left}`; a wide column `Palm L: {field: reps, target: palmar_grasp, side: left}`).
 */
export type ColumnRule = ColumnField | ColumnDetail
export interface ColumnDetail {
  readonly field: ColumnField
  /**
   * More fields told by the same cell: `Exercise: {field: target, also: [side]}` with `words` of both fields for
   * each thing that is written there (`Galant left` is a target and a side).
   */
  readonly also?: readonly Field[]
  readonly target?: string
  readonly side?: string
  readonly stimulus?: string
  readonly unit?: Unit
}

/**
 * A wide heading is made of an exercise's words with, before or after, a side's and a measure's, parted by anything
 * that is no letter or digit (`Palm L`, `Back L strokes`, `mins (Rocking)`). One filled exercise and side is one
 * session (or, with measure `score`, one score) of that day.
 */
export interface WideRules {
  /** Their word in the heading → target, or target with stimulus and a fixed side. */
  readonly exercises: Readonly<Record<string, string | WideExercise>>
  /** Side words in headings → ours. Default: the everyday ones (L, R, left, right, mid, both). */
  readonly sides?: Readonly<Record<string, string>>
  /** Measure words in headings → what the number is. Everyday ones (reps, times, secs, mins, minutes) need none. */
  readonly measures?: Readonly<Record<string, WideMeasure>>
  /** What the number is where the heading has no measure word. Default `reps`, or `score` where the table `holds` assessments. */
  readonly plain_number?: WideMeasure
  /** Cells that mean "done once, count not written", beside x, yes, y, done, a tick, true. */
  readonly done?: readonly string[]
  /** Cells that mean "not done that day", beside no, n, -, 0, false; blank always does. */
  readonly not_done?: readonly string[]
}
export const WIDE_MEASURES = ['reps', 'seconds', 'minutes', 'hours', 'intensity', 'score'] as const
export type WideMeasure = (typeof WIDE_MEASURES)[number]
/** What the headings of a row of columns tell (`done_on`: a column for each day), and what the cells under them hold. */
export interface AcrossRules {
  readonly field: NamedField
  readonly cells: WideMeasure
  /** Which headings are meant. Default: those that are dates. `words` of the field say what other headings stand for. */
  readonly headings?: readonly string[]
}
export interface WideExercise {
  readonly target: string
  readonly stimulus?: string
  readonly side?: string
}
