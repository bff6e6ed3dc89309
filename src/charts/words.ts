import { type Day, formatDay, partsOf } from '../records/index.ts'

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']
const MS_PER_DAY = 86_400_000

/** A day as the milliseconds that a UTC time scale takes. */
export const utc = (day: Day): number => day * MS_PER_DAY

/** `4 Mar 2026`. */
export function dayWords(day: Day | null): string {
  if (day === null) return 'not known'
  const { year, month, date } = partsOf(day)
  return `${date} ${MONTHS[month - 1]} ${year}`
}

export { formatDay }

/** How a chart tells time: by the calendar, or in days from a start where no date may be shown. */
export interface Clock {
  readonly value: (day: Day) => number
  readonly words: (day: Day | null) => string
  /** Type, scale and axis of a Vega-Lite position channel; `ticks` is about how many labels there is room for. */
  readonly channel: (ticks: number) => Readonly<Record<string, unknown>>
}

/** A month by its name, a day within it by its number too: no label stands twice. The year is said once, and in January. */
export const MONTH_LABELS =
  "[utcFormat(datum.value, utcdate(datum.value) === 1 ? '%b' : '%-d %b'), datum.index === 0 || (utcmonth(datum.value) === 0 && utcdate(datum.value) < 8) ? utcFormat(datum.value, '%Y') : '']"

export const BY_CALENDAR: Clock = {
  value: utc,
  words: dayWords,
  channel: (ticks) => ({
    type: 'temporal',
    scale: { type: 'utc' },
    axis: { title: null, labelExpr: MONTH_LABELS, tickCount: ticks, labelOverlap: true },
  }),
}

/** Days from a start; the start is day 0. */
export const daysFrom = (start: Day): Clock => ({
  value: (day) => day - start,
  words: (day) => (day === null ? 'not known' : `day ${day - start}`),
  channel: (ticks) => ({
    type: 'quantitative',
    axis: { title: 'Days from the start', tickCount: ticks, labelOverlap: true },
  }),
})

/** `0.634` as `63 %`; null as `not known`. */
export const percent = (share: number | null): string =>
  share === null ? 'not known' : `${Math.round(share * 100)} %`

const BRITISH = new Intl.NumberFormat('en-GB')

/** `4,430`. */
export const grouped = (n: number): string => BRITISH.format(n)

/** `3 clients`, `1 client`. */
export const count = (n: number, one: string, many = `${one}s`): string =>
  `${grouped(n)} ${n === 1 ? one : many}`

/** A number to so many decimals, with a true minus sign; null as `not known`. */
export const rounded = (x: number | null, decimals = 2): string => {
  if (x === null || Number.isNaN(x)) return 'not known'
  const text = Math.abs(x).toFixed(decimals)
  return x < 0 && Number(text) !== 0 ? `−${text}` : text
}

/** `0.42 (0.11 to 0.73)`. */
export const withInterval = (
  x: number | null,
  lower: number | null,
  upper: number | null,
  decimals = 2,
): string =>
  lower === null || upper === null
    ? rounded(x, decimals)
    : `${rounded(x, decimals)} (${rounded(lower, decimals)} to ${rounded(upper, decimals)})`

/** A code of ours in words: `skin_reaction` as `skin reaction`. */
export const words = (code: string): string => code.replaceAll('_', ' ')

/** The first letter as a capital. */
export const sentence = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)

/** The middle value, or null of none. */
export function median(values: readonly number[]): number | null {
  if (values.length === 0) return null
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  return sorted.length % 2 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2
}

/** A layer, where there is something to draw in it. */
export const some = (
  rows: readonly unknown[],
  layer: Readonly<Record<string, unknown>>,
): readonly object[] => (rows.length > 0 ? [layer] : [])
