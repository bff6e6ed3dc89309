import { recogniseHeading } from '../headings/recognise.ts'
import { provenOrder, readDate } from '../interpret/date.ts'
import { readDischargeReason } from '../interpret/dischargeReason.ts'
import { readDoneBy } from '../interpret/doneBy.ts'
import { readNumber } from '../interpret/number.ts'
import { readReaction } from '../interpret/reaction.ts'
import type { Reading } from '../interpret/reading.ts'
import { readTarget } from '../interpret/reflex.ts'
import { readScore } from '../interpret/score.ts'
import { readSex } from '../interpret/sex.ts'
import { readSide } from '../interpret/side.ts'
import { readStimulus } from '../interpret/stimulus.ts'
import { readConsent } from '../interpret/yesNo.ts'
import type { RawTable } from '../raw.ts'
import { distinctTexts } from '../rawColumn.ts'
import { WORDS_OF_FIELD } from './choices.ts'
import type { ColumnField, Field } from './guide.ts'

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
const READER = new Map<string, (text: string) => Reading<unknown>>(READERS).set('reflex', readTarget)

/** What a draft says of one column. */
export interface ColumnDraft {
  readonly heading: string
  /** Understood by its everyday words, so that the guide need not name it; null where it is not. */
  readonly known: string | null
  /** What its values look like, for a heading that is not understood. */
  readonly proposed: ColumnField | null
  /** Different texts, where they are few and no names. */
  readonly words: readonly string[]
  /** Texts of a field with a closed list that cannot be read as they stand. */
  readonly unread: readonly string[]
  /** Numeric dates that could be two, in an order that no value proves. */
  readonly ambiguousDates: boolean
  /** Numbers with a comma before at most two digits. */
  readonly commaNumbers: boolean
}

/** Looks at a column's heading and different texts. */
export function draftColumn(table: RawTable, index: number): ColumnDraft {
  const heading = table.headings[index] as string
  const known = recogniseHeading(heading)?.meaning ?? null
  const texts: string[] = []
  const column = table.columns[index]
  if (column !== undefined)
    for (const text of distinctTexts(column, table.length)) {
      if (text.trim() !== '') texts.push(text)
      if (texts.length >= MOST_TEXTS) break
    }
  const proposed = known === null ? fieldByValues(texts, table.serialDayZero) : null
  const reader = READER.get(known ?? proposed ?? '')
  const few = texts.length <= MOST_WORDS && known !== 'personal'
  const dateOptions = { serialDayZero: table.serialDayZero }
  const isDates = proposed === 'date' || (known !== null && DATES.has(known))
  return {
    heading,
    known,
    proposed,
    words: few ? texts : [],
    unread:
      reader === undefined || !few
        ? unreadScores(known, texts)
        : texts.filter((text) => 'rule' in reader(text)),
    ambiguousDates:
      isDates &&
      texts.some((text) => isRule(readDate(text, dateOptions), 'ambiguous_date')) &&
      provenOrder(texts, dateOptions) === null,
    commaNumbers: texts.length > 0 && texts.some((text) => /^\d+,\d{1,2}$/.test(text.trim())),
  }
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
function unreadScores(known: string | null, texts: readonly string[]): readonly string[] {
  if (known !== 'score') return []
  return texts.filter((text) => !/\d/.test(text) && 'rule' in readScore(text)).slice(0, MOST_WORDS)
}

/** A code of letters and digits, as clinics number their clients. */
const CODE = /^\p{L}{1,6}[-_/]?\d{2,}$|^\d{5,}$/u

function fieldByValues(texts: readonly string[], serialDayZero: number | null): ColumnField | null {
  if (texts.length === 0) return null
  const share = (fits: (text: string) => boolean): number => texts.filter(fits).length / texts.length
  // A bare number could be a count as well as a workbook's day, so only texts with a mark in them prove a date.
  const isDate = (text: string): boolean => {
    const reading = readDate(text, { order: 'day-month-year', serialDayZero })
    return /[^\d.,\s]/.test(text.trim()) && ('value' in reading || isRule(reading, 'impossible_date'))
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
