/** A whole local date as the count of days since 1970-01-01 (which is 0). No clock, no time zone. */
export type Day = number

export const DAYS_PER_MONTH = 30.4375

/**
 * The day of a calendar date, or null when there is no such date.
 * Proleptic Gregorian calendar, years 1 to 9999.
 */
export function dayOf(year: number, month: number, date: number): Day | null {
  if (!(year >= 1 && year <= 9999 && month >= 1 && month <= 12 && date >= 1)) return null
  if (date > daysInMonth(year, month)) return null
  const y = month <= 2 ? year - 1 : year
  const era = Math.floor(y / 400)
  const yearOfEra = y - era * 400
  const dayOfYear = Math.floor((153 * (month > 2 ? month - 3 : month + 9) + 2) / 5) + date - 1
  return (
    era * 146097 +
    yearOfEra * 365 +
    Math.floor(yearOfEra / 4) -
    Math.floor(yearOfEra / 100) +
    dayOfYear -
    719468
  )
}

/** Whether a year of the Gregorian calendar has 366 days. */
export const isLeapYear = (year: number): boolean => (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0

/** How many days a month (1 to 12) of a year has. */
export const daysInMonth = (year: number, month: number): number =>
  month === 2
    ? isLeapYear(year)
      ? 29
      : 28
    : month === 4 || month === 6 || month === 9 || month === 11
      ? 30
      : 31

/** Year, month (1 to 12) and date of a day. */
export function partsOf(day: Day): { readonly year: number; readonly month: number; readonly date: number } {
  const z = day + 719468
  const era = Math.floor(z / 146097)
  const dayOfEra = z - era * 146097
  const yearOfEra = Math.floor(
    (dayOfEra - Math.floor(dayOfEra / 1460) + Math.floor(dayOfEra / 36524) - Math.floor(dayOfEra / 146096)) /
      365,
  )
  const dayOfYear = dayOfEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100))
  const m = Math.floor((5 * dayOfYear + 2) / 153)
  const month = m < 10 ? m + 3 : m - 9
  return {
    year: yearOfEra + era * 400 + (month <= 2 ? 1 : 0),
    month,
    date: dayOfYear - Math.floor((153 * m + 2) / 5) + 1,
  }
}

const pad = (n: number, width: number): string => String(n).padStart(width, '0')

/** `YYYY-MM-DD`. */
export function formatDay(day: Day): string {
  const { year, month, date } = partsOf(day)
  return `${pad(year, 4)}-${pad(month, 2)}-${pad(date, 2)}`
}

/** The day of a `YYYY-MM-DD` text, or null when it is anything else or no date. */
export function parseDay(text: string): Day | null {
  const m = /^(\d{4})-(\d{2})-(\d{2})$/.exec(text)
  return m ? dayOf(Number(m[1]), Number(m[2]), Number(m[3])) : null
}

/** The Monday on or before a day (ISO 8601 weeks begin on Monday; 1970-01-01 was a Thursday). */
export const mondayOf = (day: Day): Day => day - ((((day + 3) % 7) + 7) % 7)
