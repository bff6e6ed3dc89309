import { guideWords, noValueMarks } from '../fieldView.ts'
import { type GuideColumn, guideColumns } from '../headings/guideColumns.ts'
import { recogniseHeading } from '../headings/recognise.ts'
import { cautionParts, readCautions } from '../interpret/cautions.ts'
import { provenOrder, readDate } from '../interpret/date.ts'
import { readDischargeReason } from '../interpret/dischargeReason.ts'
import { readDoneBy } from '../interpret/doneBy.ts'
import { readNumber } from '../interpret/number.ts'
import { readReaction } from '../interpret/reaction.ts'
import { plainWord, type Reading } from '../interpret/reading.ts'
import { readTarget } from '../interpret/reflex.ts'
import { readScore } from '../interpret/score.ts'
import { readSex } from '../interpret/sex.ts'
import { readSide } from '../interpret/side.ts'
import { readStimulus } from '../interpret/stimulus.ts'
import { readConsent } from '../interpret/yesNo.ts'
import { fieldIn } from '../kindFields.ts'
import type { RawTable } from '../raw.ts'
import { distinctTexts } from '../rawColumn.ts'
import { WORDS_OF_FIELD } from './choices.ts'
import { type ColumnField, FIELDS, type Field, type Kind, type TableRules } from './guide.ts'

const MOST_TEXTS = 2000
/** A column with more different texts than this is no list of words, and its texts are not repeated in a draft. */
export const MOST_WORDS = 40
/** Share of a column's different texts that must read as a field's before that field is proposed. */
const SHARE_THAT_FITS = 0.6

const READERS: readonly (readonly [Field, (text: string) => Reading<unknown>])[] = [
  ['target', readTarget],
  ['side', readSide],
  ['stimulus', readStimulus],
  ['reaction', readReaction],
  ['done_by', readDoneBy],
  ['sex', readSex],
  ['discharge_reason', readDischargeReason],
  ['research_consent', readConsent],
]
const READER = new Map<string, (text: string) => Reading<unknown>>(READERS)
  .set('reflex', readTarget)
  .set('cautions', (text) => readCautions(text))

/** What a draft says of one column. */
export interface ColumnDraft {
  readonly heading: string
  /** Understood by its everyday words or the guide, so that nothing need be said of it; null where it is not. */
  readonly known: string | null
  /** What its values look like, for a heading that is not understood. */
  readonly proposed: ColumnField | null
  /** Different texts, where they are few and no names. */
  readonly words: readonly string[]
  /** Whether most of its texts are dates. */
  readonly dates: boolean
  /** Texts of a field with a closed list that cannot be read as they stand. */
  readonly unread: readonly string[]
  /** Numeric dates that could be two, in an order that no value proves. */
  readonly ambiguousDates: boolean
  /** Numbers with a comma before at most two digits. */
  readonly commaNumbers: boolean
}

/**
 * Looks at the headings and different texts of a table.
 *
 * @param kind what the table holds, where that is known
 * @param rules what the guide says about it already, which is not asked again
 */
export function draftColumns(table: RawTable, kind: Kind | null, rules: TableRules): ColumnDraft[] {
  const said = guideColumns(table.headings, rules)
  return table.headings.map((heading, i) =>
    draftColumn(table, i, knownMeaning(heading, said[i] ?? null, kind), kind, rules),
  )
}

/** What a heading is understood as; an everyday word that says nothing in this kind of table is none. */
function knownMeaning(heading: string, said: GuideColumn | null, kind: Kind | null): string | null {
  if (said !== null) return said.field
  const meaning = recogniseHeading(heading)?.meaning ?? null
  if (meaning === null || kind === null || meaning === 'personal') return meaning
  if (meaning === 'bare_side') return kind === 'clients' ? null : meaning
  return meaning === 'id' || fieldIn(kind, meaning) !== null ? meaning : null
}

function draftColumn(
  table: RawTable,
  index: number,
  known: string | null,
  kind: Kind | null,
  rules: TableRules,
): ColumnDraft {
  const heading = table.headings[index] as string
  const texts: string[] = []
  const column = table.columns[index]
  if (column !== undefined)
    for (const text of distinctTexts(column, table.length)) {
      if (text.trim() !== '') texts.push(text)
      if (texts.length >= MOST_TEXTS) break
    }
  const likely = known === null ? fieldByValues(texts, table.serialDayZero) : null
  const proposed = likely === null || kind === null || fieldIn(kind, likely) !== null ? likely : null
  const meaning = known ?? proposed ?? ''
  const field = (kind === null ? null : fieldIn(kind, meaning)) ?? meaning
  const few = texts.length <= MOST_WORDS && known !== 'personal'
  const dateOptions = { serialDayZero: table.serialDayZero }
  const isDates = proposed === 'date' || (known !== null && DATES.has(known))
  return {
    heading,
    known,
    proposed,
    words: few ? texts : [],
    dates: likely === 'date',
    unread: unreadTexts(
      field,
      few,
      unsaid(field === 'cautions' ? partsOf(texts, rules) : texts, field, rules),
    ),
    ambiguousDates:
      isDates &&
      !orderSaid(rules, field, kind) &&
      texts.some((text) => isRule(readDate(text, dateOptions), 'ambiguous_date')) &&
      provenOrder(texts, dateOptions) === null,
    commaNumbers:
      rules.decimal === undefined &&
      known !== 'ignore' &&
      known !== 'note' &&
      texts.some((text) => /^\d+,\d{1,2}$/.test(text.trim())),
  }
}

/** A cell may hold several cautions. */
const partsOf = (texts: readonly string[], { cautions_joined_by: by }: TableRules): readonly string[] => [
  ...new Set(texts.flatMap((text) => cautionParts(text, by).map((part) => part.trim()))),
]

/** The texts of which the guide does not say what they mean. */
function unsaid(texts: readonly string[], field: string, rules: TableRules): readonly string[] {
  if (!(FIELDS as readonly string[]).includes(field)) return texts
  const words = guideWords(rules, field as Field)
  const marks = noValueMarks(rules, field as Field)
  return texts.filter((text) => !words.has(plainWord(text)) && !marks.has(plainWord(text)))
}

function unreadTexts(field: string, few: boolean, texts: readonly string[]): readonly string[] {
  const reader = READER.get(field)
  return reader === undefined || !few
    ? unreadScores(field, texts)
    : texts.filter((text) => 'rule' in reader(text))
}

function orderSaid({ dates }: TableRules, field: string, kind: Kind | null): boolean {
  if (dates === undefined || typeof dates === 'string') return dates !== undefined
  const ours = kind === null ? null : fieldIn(kind, field)
  return Object.keys(dates).some((key) => key === 'date' || key === field || key === ours)
}

const DATES: ReadonlySet<string> = new Set([
  'date',
  'start',
  'end',
  'birth_date',
  'enrolled_on',
  'discharged_on',
  'assessed_on',
  'done_on',
  'starts_on',
  'ends_on',
])

const isRule = (reading: Reading<unknown>, rule: string): boolean =>
  'rule' in reading && reading.rule === rule

/** Marks such as `++` that stand where scores are; a draft asks what they mean. */
function unreadScores(field: string, texts: readonly string[]): readonly string[] {
  if (field !== 'score') return []
  return texts.filter((text) => !/\d/.test(text) && 'rule' in readScore(text)).slice(0, MOST_WORDS)
}

/** A code of letters and digits, as clinics number their clients. */
const CODE = /^\p{L}{1,6}[-_/]?\d{2,}$|^\d{5,}$/u

function fieldByValues(texts: readonly string[], serialDayZero: number | null): ColumnField | null {
  if (texts.length === 0) return null
  const share = (fits: (text: string) => boolean): number => texts.filter(fits).length / texts.length
  // A bare number could be a count as well as a workbook's day, so only texts with a mark or two dots in them prove a date.
  const isDate = (text: string): boolean => {
    const reading = readDate(text, { order: 'day-month-year', serialDayZero })
    return (
      /[^\d.,\s]|^\d+\.\s?\d+\.\s?\d+$/.test(text.trim()) &&
      ('value' in reading || isRule(reading, 'impossible_date'))
    )
  }
  if (share(isDate) >= SHARE_THAT_FITS / 2) return 'date'
  if (share((text) => CODE.test(text.trim())) >= 0.9) return 'client_id'
  for (const [field, reader] of READERS)
    if (share((text) => 'value' in reader(text)) >= SHARE_THAT_FITS && WORDS_OF_FIELD[field] !== undefined)
      return field
  return null
}

/** Whether a column holds numbers, for the comment of one whose meaning nothing shows. */
export const areNumbers = (words: readonly string[]): boolean =>
  words.length > 0 && words.filter((text) => 'value' in readNumber(text)).length / words.length > 0.7
