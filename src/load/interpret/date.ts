import { type Day, dayOf } from '../../records/index.ts'
import type { DateOrder, DateWord } from '../guide/guide.ts'
import { isTooLong, type Reading, read, unreadableDate } from './reading.ts'
import { readTime, timeOfFraction } from './time.ts'

/** A date with the time where the text has one; the time is null where there is none or it cannot be read. */
export interface DateReading {
  readonly day: Day
  readonly time: string | null
  /** The text has a time, but not one that can be read. */
  readonly badTime: boolean
}

export interface DateOptions {
  /** Order of numeric dates: from the guide, or what the column proves. `null`: nothing tells it. */
  readonly order?: DateOrder | null
  /** What a two-digit year counts from; without it such a year is not read. */
  readonly century?: number
  /** Words in dates, lower case → the English month, or `ignore` for what says nothing (weekdays). */
  readonly words?: ReadonlyMap<string, DateWord>
  /** The Day that is number 0 of a workbook, where bare numbers are dates. */
  readonly serialDayZero?: number | null
}

const ISO = /^(\d{4})([-/.])(\d{1,2})\2(\d{1,2})$/
const ISO_COMPACT = /^(\d{4})(\d{2})(\d{2})$/
const NUMERIC = /^(\d{1,2})\s*([-/.])\s*(\d{1,2})\s*\2\s*(\d{4}|\d{2})\.?$/
const DAY_NAME = /^(\d{1,2})(?:st|nd|rd|th|\.)?[\s\-/.]*(?:of\s+)?(\p{L}{3,})\.?,?[\s\-/.]*(\d{4}|'?\d{2})$/iu
const YEAR_NAME = /^(\d{4})[\s\-/.]+(\p{L}{3,})\.?[\s\-/.]+(\d{1,2})$/u
const NAME_DAY = /^(\p{L}{3,})\.?[\s\-/.]*(\d{1,2})(?:st|nd|rd|th)?,?[\s\-/.]+(\d{4}|'\d{2})$/iu
const SERIAL = /^\d{1,6}(?:[.,]\d+)?$/
const WEEKDAY = /^(?:mon|tue|tues|wed|thu|thur|thurs|fri|sat|sun)(?:day|nesday|urday|sday|rsday)?\.?,?\s+/i
const TIME_BEFORE = /^(\d{1,2}:\d{2}(?::\d{2})?(?:\s*[ap]\.?m\.?)?),?\s+(?:on\s+)?(\S.*)$/i
const TIME_AFTER = /^(.*?\d)(?:T|,?\s+(?:at\s+)?)(\d{1,2}(?:[:.h]\d{2}.*|\s*[ap]\.?m\.?)|\d{4})$/i
/** The basic form of ISO 8601: `20260302T081500`. */
const TIME_AFTER_COMPACT = /^(\d{8})T(\d{4})(?:\d{2}(?:[.,]\d+)?)?(?:Z|[+-]\d{2}:?\d{2})?$/i

const MONTHS = [
  ['jan', 'january'],
  ['feb', 'february'],
  ['mar', 'march'],
  ['apr', 'april'],
  ['may'],
  ['jun', 'june'],
  ['jul', 'july'],
  ['aug', 'august'],
  ['sep', 'sept', 'september'],
  ['oct', 'october'],
  ['nov', 'november'],
  ['dec', 'december'],
]
const MONTH_OF = new Map(MONTHS.flatMap((names, m) => names.map((name) => [name, m + 1] as const)))

const impossible: Reading<never> = { rule: 'impossible_date' }
const ambiguous: Reading<never> = { rule: 'ambiguous_date' }

/**
 * A date: ISO, numeric in the column's order, with a month's name, a workbook's day number; with a time after it or not.
 * Nothing is guessed: a numeric date that could be two, with no order told or proven, is `ambiguous_date`.
 */
export function readDate(text: string, options: DateOptions = {}): Reading<DateReading> {
  if (isTooLong(text)) return unreadableDate
  const word = inEnglish(text, options)
  const serial = serialDate(word, options)
  if (serial) return serial
  const whole = readDay(word, options)
  if ('value' in whole) return read({ day: whole.value, time: null, badTime: false })
  const parts = partsOf(word)
  if (!parts) return whole
  const day = readDay(parts.date, options)
  if (!('value' in day)) return day
  const time = readTime(parts.time)
  return 'value' in time
    ? read({ day: day.value, time: time.value, badTime: false })
    : read({ day: day.value, time: null, badTime: true })
}

/** Date and time of a text that has both, whichever comes first. */
function partsOf(word: string): { readonly date: string; readonly time: string } | null {
  const before = TIME_BEFORE.exec(word)
  if (before) return { date: (before[2] as string).trim(), time: before[1] as string }
  const after = TIME_AFTER_COMPACT.exec(word) ?? TIME_AFTER.exec(word)
  return after ? { date: (after[1] as string).trim(), time: after[2] as string } : null
}

/** The text with the words that the guide explains put into English, and those that say nothing taken out. */
function inEnglish(text: string, { words }: DateOptions): string {
  if (words === undefined) return text.trim()
  const explained = text.replace(/(\p{L}[\p{L}\p{M}]*)(\.?,?)/gu, (whole, word: string) => {
    const meant = words.get(word.normalize('NFC').toLowerCase())
    return meant === undefined ? whole : meant === 'ignore' ? '' : meant
  })
  return explained.trim()
}

function serialDate(word: string, options: DateOptions): Reading<DateReading> | null {
  const zero = options.serialDayZero
  if (zero === undefined || zero === null || !SERIAL.test(word)) return null
  const number = Number(word.replace(',', '.'))
  const whole = Math.floor(number)
  // A small number is a year, a day of the month, or `12.03`, and no day that anyone has records of.
  if (whole <= 2100) return unreadableDate
  const fraction = number - whole
  return read({ day: zero + whole, time: fraction > 0 ? timeOfFraction(fraction) : null, badTime: false })
}

function readDay(text: string, options: DateOptions): Reading<Day> {
  const word = text.replace(WEEKDAY, '')
  const iso = ISO.exec(word)
  if (iso) return dayFrom(Number(iso[1]), Number(iso[3]), Number(iso[4]))
  const compact = ISO_COMPACT.exec(word)
  if (compact) return compactDate(compact, options)
  const numeric = NUMERIC.exec(word)
  if (numeric) return numericDate(numeric, options)
  return namedDate(word, options)
}

/** Eight digits are year, month, day, unless they can be none and the guide has the year last. */
function compactDate([text, year, month, date]: RegExpExecArray, { order }: DateOptions): Reading<Day> {
  const iso = dayFrom(Number(year), Number(month), Number(date))
  if ('value' in iso || order === undefined || order === null) return iso
  const [a, b, last] = [text.slice(0, 2), text.slice(2, 4), text.slice(4)].map(Number) as [
    number,
    number,
    number,
  ]
  if (order === 'day-month-year') return dayFrom(last, b, a)
  return order === 'month-day-year' ? dayFrom(last, a, b) : iso
}

function namedDate(word: string, options: DateOptions): Reading<Day> {
  const yearFirst = YEAR_NAME.exec(word)
  if (yearFirst) {
    const month = MONTH_OF.get((yearFirst[2] as string).toLowerCase())
    return month === undefined ? unreadableDate : dayFrom(Number(yearFirst[1]), month, Number(yearFirst[3]))
  }
  const dayFirst = DAY_NAME.exec(word)
  const nameFirst = dayFirst ? null : NAME_DAY.exec(word)
  const name = dayFirst?.[2] ?? nameFirst?.[1]
  const month = name === undefined ? undefined : MONTH_OF.get(name.toLowerCase())
  if (month === undefined) return unreadableDate
  const year = yearOf((dayFirst?.[3] ?? nameFirst?.[3]) as string, options)
  return year === null ? unreadableDate : dayFrom(year, month, Number(dayFirst?.[1] ?? nameFirst?.[2]))
}

function numericDate(form: RegExpExecArray, options: DateOptions): Reading<Day> {
  const [, a, , b, c] = form
  if (options.order === 'year-month-day' && (c as string).length === 2) {
    const year = yearOf((a as string).padStart(2, '0'), options)
    return year === null ? unreadableDate : dayFrom(year, Number(b), Number(c))
  }
  const year = yearOf(c as string, options)
  if (year === null) return unreadableDate
  const dayFirst = dayOf(year, Number(b), Number(a))
  const monthFirst = dayOf(year, Number(a), Number(b))
  if (options.order === 'day-month-year') return dayFirst === null ? impossible : read(dayFirst)
  if (options.order === 'month-day-year') return monthFirst === null ? impossible : read(monthFirst)
  if (dayFirst === null) return monthFirst === null ? impossible : read(monthFirst)
  if (monthFirst === null || monthFirst === dayFirst) return read(dayFirst)
  return ambiguous
}

/** What order the dates of one column prove, from all its distinct texts. */
export function provenOrder(texts: Iterable<string>, options: DateOptions = {}): DateOrder | null {
  let dayFirst = false
  let monthFirst = false
  for (const text of texts) {
    if (isTooLong(text)) continue
    const word = inEnglish(text, options).replace(WEEKDAY, '')
    const numeric = NUMERIC.exec(word) ?? NUMERIC.exec((partsOf(word)?.date ?? '').replace(WEEKDAY, ''))
    if (!numeric) continue
    const year = yearOf(numeric[4] as string, options)
    if (year === null) continue
    const asDayFirst = dayOf(year, Number(numeric[3]), Number(numeric[1])) !== null
    const asMonthFirst = dayOf(year, Number(numeric[1]), Number(numeric[3])) !== null
    if (asDayFirst && !asMonthFirst) dayFirst = true
    if (asMonthFirst && !asDayFirst) monthFirst = true
  }
  if (dayFirst === monthFirst) return null
  return dayFirst ? 'day-month-year' : 'month-day-year'
}

function yearOf(text: string, options: DateOptions): number | null {
  const digits = text.replace("'", '')
  if (digits.length === 4) return Number(digits)
  return options.century === undefined ? null : options.century + Number(digits)
}

const dayFrom = (year: number, month: number, date: number): Reading<Day> => {
  const day = dayOf(year, month, date)
  return day === null ? impossible : read(day)
}
