import { isTooLong, type Reading, read, unreadableDate } from './reading.ts'

const CLOCK =
  /^(\d{1,2})(?:[:.h](\d{2}))?(?:[:.](\d{2})(?:[.,]\d+)?)?\s*([ap]\.?\s?m\.?)?\s*(?:Z|[+-]\d{2}:?\d{2}|uhr|hrs|h)?$/i
/** A whole hour that says it is one: `20 Uhr`, `20h`. */
const HOUR = /^(\d{1,2})\s*(?:uhr|h)$/i
const COMPACT = /^(\d{2})(\d{2})$/

/**
 * `HH:MM`, local as written: `7:43`, `07:43:10` (seconds dropped), `2:00 pm`, `9.30`, `0743`, `7 am`, `08:43:56+11:00`
 * (the offset says where, not when). A bare `7` is no time.
 */
export function readTime(text: string): Reading<string> {
  if (isTooLong(text)) return unreadableDate
  const word = text.trim()
  const compact = COMPACT.exec(word)
  if (compact) return clock(Number(compact[1]), Number(compact[2]))
  const whole = HOUR.exec(word)
  if (whole) return clock(Number(whole[1]), 0)
  const form = CLOCK.exec(word)
  if (!form) return unreadableDate
  const [, hour, minute, second, half] = form
  if (minute === undefined && half === undefined) return unreadableDate
  if (second !== undefined && Number(second) > 60) return unreadableDate
  if (half === undefined) return clock(Number(hour), Number(minute))
  const h = Number(hour)
  if (h < 1 || h > 12) return unreadableDate
  return clock((h % 12) + (/^p/i.test(half) ? 12 : 0), Number(minute ?? 0))
}

/** The time of a spreadsheet's fraction of a day, to the nearest minute. */
export function timeOfFraction(fraction: number): string {
  const minutes = Math.min(1439, Math.round(fraction * 1440))
  return hhmm(Math.floor(minutes / 60), minutes % 60)
}

const clock = (hour: number, minute: number): Reading<string> =>
  hour <= 23 && minute <= 59 ? read(hhmm(hour, minute)) : unreadableDate

const hhmm = (hour: number, minute: number): string =>
  `${String(hour).padStart(2, '0')}:${String(minute).padStart(2, '0')}`
