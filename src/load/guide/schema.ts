import { z } from 'zod'
import { nearestChoice, nearestChoices } from '../../nearest.ts'
import { STIMULI, TARGETS } from '../../records/index.ts'
import { codeForm, GUIDE_SIDES, NUMBER_FIELDS, WORDS_OF_FIELD } from './choices.ts'
import {
  COLUMN_FIELDS,
  DATE_FIELDS,
  DATE_ORDERS,
  DATE_WORDS,
  DAY_NUMBERS,
  DELIMITERS,
  ENCODINGS,
  FIELDS,
  type Field,
  KINDS,
  NAMED_FIELDS,
  type NamedField,
  type ReadingGuide,
  UNITS,
  WIDE_MEASURES,
} from './guide.ts'

/** As many as a person reads through; a longer list is in the documentation, and the nearest few are named. */
const LISTED = 16
const NEAREST = 4
const DOCUMENTED = 'datasets/reading-guide.md'

/** `Allowed: a, b.`, or where there are too many to read, where they are listed. */
const allowedWords = (allowed: readonly string[], what: string): string =>
  allowed.length <= LISTED
    ? `${what}: ${allowed.join(', ')}.`
    : `All ${allowed.length} are listed in ${DOCUMENTED}, under "What a guide can say".`

/** `"rep" is not known here. Did you mean "reps"? Allowed: ...` */
function notAllowed(written: unknown, allowed: readonly string[]): string {
  const words = allowedWords(allowed, 'Allowed')
  if (written === undefined) return `is missing. ${words}`
  if (typeof written !== 'string') return `this is not known here. ${words}`
  const meant = nearestChoice(written, allowed, codeForm)
  const hint = meant === null ? '' : ` Did you mean "${meant}"?`
  const near =
    allowed.length <= LISTED
      ? []
      : nearestChoices(meant ?? written, allowed, NEAREST, codeForm).filter((choice) => choice !== meant)
  return `"${written}" is not known here.${hint}${near.length === 0 ? '' : ` Near it: ${near.join(', ')}.`} ${words}`
}

/** One of our own words, which may be written with spaces and capitals. */
const choice = <const T extends readonly [string, ...string[]]>(allowed: T) =>
  z.preprocess(
    (value) => (typeof value === 'string' && !allowed.includes(value) ? codeForm(value) : value),
    z.enum(allowed, { error: ({ input }) => notAllowed(input, allowed) }),
  ) as z.ZodType<T[number]>

const exactly = <const T extends readonly [string, ...string[]]>(allowed: T) =>
  z.enum(allowed, { error: ({ input }) => notAllowed(input, allowed) })

const text = z.string({ error: 'must be a text' }).min(1, 'must not be empty')

/** The guide is read as text throughout, so that 007 stays 007; numbers are read here. */
const number = (least: number, most: number, what: string) =>
  z.string({ error: `must be ${what}` }).transform((written, context) => {
    const value = /^-?\d+(\.\d+)?$/.test(written) ? Number(written) : Number.NaN
    if (value >= least && value <= most) return value
    context.addIssue({ code: 'custom', message: `"${written}" must be ${what}` })
    return z.NEVER
  })

/** An object with these keys and no others. */
function keyed<T extends z.ZodRawShape>(shape: T) {
  const allowed = Object.keys(shape)
  return z.strictObject(shape, {
    error: (issue) =>
      issue.code === 'unrecognized_keys'
        ? (issue as unknown as { keys: string[] }).keys.map((key) => notAllowed(key, allowed)).join(' ')
        : `must be a list of keys and values. ${allowedWords(allowed, 'Allowed keys')}`,
  })
}

/** Keys that are free, or from a list; values by a schema that may depend on the key. */
const mapping = <K extends string, V>(keys: readonly K[] | null, valueSchema: (key: K) => z.ZodType<V>) =>
  z
    .record(z.string(), z.unknown(), { error: 'must be a list of keys and values' })
    .transform((object, context) => {
      const made: Partial<Record<K, V>> = {}
      for (const [key, value] of Object.entries(object)) {
        if (keys !== null && !keys.includes(key as K)) {
          context.addIssue({
            code: 'custom',
            message: notAllowed(key, keys),
            path: [key],
            params: { key: true },
          })
          continue
        }
        const read = valueSchema(key as K).safeParse(value)
        if (read.success) Object.defineProperty(made, key, { value: read.data, enumerable: true })
        else
          for (const issue of read.error.issues)
            context.issues.push({ ...issue, path: [key, ...issue.path] } as never)
      }
      return made as Record<K, V>
    }) as unknown as z.ZodType<Record<K, V>>

/** A schema chosen by what was written, so that messages are about that form alone. */
const byForm = <T>(pick: (value: unknown) => z.ZodType<T>): z.ZodType<T> =>
  z.unknown().transform((value, context) => {
    const read = pick(value).safeParse(value)
    if (read.success) return read.data
    for (const issue of read.error.issues) context.issues.push({ ...issue } as never)
    return z.NEVER
  }) as unknown as z.ZodType<T>

const textOr = <T>(asText: z.ZodType<T>, asObject: z.ZodType<T>): z.ZodType<T> =>
  byForm((value) =>
    typeof value === 'object' && value !== null && !Array.isArray(value) ? asObject : asText,
  )

const list = <T>(item: z.ZodType<T>, form = '`[a, b]`') =>
  z.array(item, { error: `must be a list, ${form}` }) as unknown as z.ZodType<readonly T[]>

const target = choice(TARGETS as unknown as readonly [string, ...string[]])
const side = choice(GUIDE_SIDES)
const stimulus = choice(STIMULI)
const unit = choice(UNITS)
const measure = choice(WIDE_MEASURES)
const columnField = choice(COLUMN_FIELDS as unknown as readonly [(typeof COLUMN_FIELDS)[number]])

const columnDetail = keyed({
  field: columnField,
  also: list(choice(FIELDS)).optional(),
  target: target.optional(),
  side: side.optional(),
  stimulus: stimulus.optional(),
  unit: unit.optional(),
})
const oneColumn = textOr<unknown>(columnField, columnDetail)
const columnRule = byForm<unknown>((value) => (Array.isArray(value) ? list(oneColumn) : oneColumn))

/** What a word or constant for a field may be. */
function valueFor(field: NamedField): z.ZodType<string | number> {
  const words = WORDS_OF_FIELD[field as Field]
  if (words !== undefined) return choice(words as readonly [string, ...string[]])
  if (NUMBER_FIELDS.includes(field as Field) || field === 'minutes' || field === 'hours')
    return number(-1e9, 1e9, 'a number, as 2 or 1.5')
  return text
}

const fieldNames = FIELDS as readonly Field[]
const wideExercise = keyed({ target, stimulus: stimulus.optional(), side: side.optional() })
const wide = keyed({
  exercises: mapping<string, unknown>(null, () => textOr<unknown>(target, wideExercise)),
  sides: mapping<string, string>(null, () => side).optional(),
  measures: mapping<string, string>(null, () => measure).optional(),
  plain_number: measure.optional(),
  done: list(text).optional(),
  not_done: list(text).optional(),
})

const across = keyed({
  field: choice(NAMED_FIELDS),
  cells: measure,
  headings: list(text).optional(),
})

/** `diary_{client_id}.csv`: at least one field of ours in braces. */
const namePattern = text.superRefine((pattern, context) => {
  const fields = [...pattern.matchAll(/\{([^{}]*)\}/g)].map((match) => match[1] as string)
  const allowed = [...fieldNames, 'date']
  const unknown = fields.find((field) => !allowed.includes(field))
  if (unknown !== undefined) context.addIssue({ code: 'custom', message: notAllowed(unknown, allowed) })
  else if (fields.length === 0)
    context.addIssue({
      code: 'custom',
      message: `"${pattern}" names no field in braces, as diary_{client_id}.csv does`,
    })
})

const perDateField = <T>(value: z.ZodType<T>) =>
  textOr<unknown>(
    value,
    mapping(DATE_FIELDS, () => value),
  )

const tableRules = {
  holds: choice([...KINDS, 'nothing']).optional(),
  columns: mapping<string, unknown>(null, () => columnRule).optional(),
  constants: mapping(fieldNames, valueFor).optional(),
  name: namePattern.optional(),
  above: mapping(fieldNames, () => text).optional(),
  dates: perDateField(exactly(DATE_ORDERS)).optional(),
  century: perDateField(number(1000, 9900, 'the first year of a century, as 1900 or 2000')).optional(),
  date_words: mapping(null, () => choice(DATE_WORDS)).optional(),
  day_numbers: exactly(DAY_NUMBERS).optional(),
  decimal: choice(['point', 'comma']).optional(),
  units: keyed({ seconds: unit.optional() }).optional(),
  scale: number(1, 1000, 'the top of the scale, as 4').optional(),
  words: mapping(NAMED_FIELDS, (field) =>
    mapping<string, string | number>(null, () => valueFor(field)),
  ).optional(),
  no_value: byForm<unknown>((value) =>
    Array.isArray(value) ? list(text) : mapping(NAMED_FIELDS, () => list(text)),
  ).optional(),
  cautions_joined_by: text.optional(),
  across: across.optional(),
  wide: wide.optional(),
  fill_down: list(choice(NAMED_FIELDS)).optional(),
  merged_cells: choice(['fill', 'first']).optional(),
  heading_row: number(1, 1_048_576, 'the row of the headings, counted from 1').optional(),
  entries: text.optional(),
  identifier_system: text.optional(),
  encoding: exactly(ENCODINGS).optional(),
  delimiter: choice(DELIMITERS).optional(),
}

const matchText = z
  .string({ error: 'must be a text: the name of the file that is meant, which may have * in it' })
  .min(1, 'must not be empty')
const match = byForm<unknown>((value) => (Array.isArray(value) ? list(text) : matchText))

/** A list is what people forget here: a file's name is no key. */
const FILES_FORM = 'each entry begun with `- match: NAME-OF-THE-FILE`'

/** The reading guide as YAML gives it when every value is text; see {@link ReadingGuide} for what each key means. */
export const guideSchema = keyed({
  ...tableRules,
  files: list(keyed({ match, ...tableRules }), FILES_FORM).optional(),
}) as unknown as z.ZodType<ReadingGuide>
