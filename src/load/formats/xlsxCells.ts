import * as XLSX from '@e965/xlsx'
import { dayOf, formatDay } from '../../records/index.ts'

/** A workbook's count of days: the Day that is its number 0, and whether it is the count from 1900. */
export interface DayCount {
  readonly dayZero: number
  readonly from1900: boolean
}

/**
 * Two counts exist (ECMA-376 part 1, 18.17.4.1). The one from 1900 has a 29 February 1900 that never was, as day 60:
 * from day 61 on, day 0 is 1899-12-30.
 */
export const DAY_COUNT_1900: DayCount = { dayZero: dayOf(1899, 12, 30) as number, from1900: true }
export const DAY_COUNT_1904: DayCount = { dayZero: dayOf(1904, 1, 1) as number, from1900: false }

const ERRORS: Readonly<Record<number, string>> = {
  0: '#NULL!',
  7: '#DIV/0!',
  15: '#VALUE!',
  23: '#REF!',
  29: '#NAME?',
  36: '#NUM!',
  42: '#N/A',
  43: '#GETTING_DATA',
}

/**
 * A cell as text. A number that its format shows as a date is `2026-03-14`, with a time `2026-03-14 08:30`; where the
 * format shows a time only, `08:30` (seconds only where there are any). A bare number stays a number. Text is as typed.
 */
export function cellText(cell: XLSX.CellObject | null | undefined, days: DayCount): string {
  const value = cell?.v
  if (cell === null || cell === undefined || value === undefined || value === null) return ''
  if (cell.t === 'e') return ERRORS[value as number] ?? '#ERROR'
  if (cell.t === 'b') return value ? 'true' : 'false'
  if (typeof value !== 'number') return String(value)
  return numberText(value, typeof cell.z === 'string' ? cell.z : 'General', days)
}

function numberText(value: number, format: string, days: DayCount): string {
  if (format !== 'General') {
    if (isDateFormat(format)) return dateText(value, format, days)
    // What a person sees is 75 %, which is not 0.75 of anything else.
    if (/%/.test(format.replace(/"[^"]*"|\\./g, ''))) return `${plainNumber(value * 100)}%`
    // What a person sees is 000417 or SM-0417: a code, of which the number alone is only a part.
    if (/^0{2,}$|^"[^"]*[\p{L}_-][^"]*"0+$/u.test(format)) return XLSX.SSF.format(format, value)
  }
  return plainNumber(value)
}

/** A spreadsheet shows 15 digits; the rest is what arithmetic left over. */
const plainNumber = (value: number): string => String(Number(value.toPrecision(15)))

const known = new Map<string, boolean>()

function isDateFormat(format: string): boolean {
  let is = known.get(format)
  if (is === undefined) {
    is = XLSX.SSF.is_date(format) === true
    known.set(format, is)
  }
  return is
}

function dateText(serial: number, format: string, days: DayCount): string {
  if (serial < 0 || serial >= 2958466) return String(serial)
  if (/\[[hms]+\]/i.test(format)) return elapsedText(serial)
  const whole = Math.floor(serial)
  // Rounded to the second, but never into the next day.
  const seconds = Math.min(86399, Math.round((serial - whole) * 86400))
  const shows = format.replace(/"[^"]*"|\\./g, '')
  if (!/[yd]|mmm/i.test(shows)) return clockText(seconds)
  const date = serialDate(whole, days)
  return seconds === 0 ? date : `${date} ${clockText(seconds)}`
}

function serialDate(serial: number, days: DayCount): string {
  if (!days.from1900 || serial > 60) return formatDay(days.dayZero + serial)
  // Neither is a date, and both are shown as if they were.
  if (serial === 0) return '1900-01-00'
  return serial === 60 ? '1900-02-29' : formatDay(days.dayZero + serial + 1)
}

/** A length of time that may pass 24 hours, `26:30:00`. */
function elapsedText(serial: number): string {
  const seconds = Math.round(serial * 86400)
  const [h, m, s] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60]
  return [h, m, s].map((part) => String(part).padStart(2, '0')).join(':')
}

function clockText(seconds: number): string {
  const parts = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60]
  return (parts[2] === 0 ? parts.slice(0, 2) : parts).map((part) => String(part).padStart(2, '0')).join(':')
}
