import { isTooLong, type Reading, read, unreadableNumber } from './reading.ts'

/** 38 weeks and 4 days, as notes write it: `38+4`, `38w4d`, `38 4/7`. */
const FORM =
  /^(\d{1,2})(?:\s*(?:w|wks?|weeks?))?(?:(?:\s*\+\s*|\s+|\s*,\s*|\s+and\s+)([0-6])(?:\s*\/\s*7|\s*(?:d|days?))?(?:\s*weeks?)?|\s*([0-6])\s*(?:d|days?)|(?:\s*\/\s*40))?$/i

/** Completed weeks at birth, 22 to 44: `38`, `38 weeks`, `38+4`, `38w4d`, `38/40` (of 40). Days are dropped. */
export function readGestation(text: string): Reading<number> {
  if (isTooLong(text)) return unreadableNumber
  const form = FORM.exec(text.trim())
  if (!form) return unreadableNumber
  const weeks = Number(form[1])
  return weeks >= 22 && weeks <= 44 ? read(weeks) : unreadableNumber
}
