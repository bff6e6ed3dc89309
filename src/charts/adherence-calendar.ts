import { type Day, mondayOf } from '../records/index.ts'
import { type Chart, chart } from './chart.ts'
import { isNarrow } from './layout.ts'
import { INK } from './theme.ts'
import { BY_CALENDAR, count, daysFrom, percent, utc } from './words.ts'

export interface CalendarDay {
  readonly day: Day
  /** Share of the day's prescribed dose that was logged, 0 to 1; null where nothing was prescribed. */
  readonly dose: number | null
  /** True where the client has a record on this day. */
  readonly logged: boolean
}

const WEEKDAYS = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun']
const LEVELS = ['no diary', 'none', 'under half', 'half or more', 'all'] as const
type Level = (typeof LEVELS)[number]
const filled = (part: number): string => `M-${part},-${part}H${part}V${part}H-${part}Z`
/** The fuller the square, the more was done: it reads without colour, in the dark and in print. Paths within ±1. */
const SIGNS: Readonly<Record<Exclude<Level, 'no diary'>, string>> = {
  none: 'M-.42,-.3L-.3,-.42L0,-.12L.3,-.42L.42,-.3L.12,0L.42,.3L.3,.42L0,.12L-.3,.42L-.42,.3L-.12,0Z',
  'under half': filled(0.34),
  'half or more': filled(0.64),
  all: filled(1),
}
const CELL = 20

function levelOf({ dose, logged }: CalendarDay): Level | null {
  if (dose === null) return null
  if (!logged) return 'no diary'
  if (dose === 0) return 'none'
  return dose < 0.5 ? 'under half' : dose < 1 - 1e-9 ? 'half or more' : 'all'
}

/** A calendar of one client's days: how much of the day's dose was logged. */
export function adherenceCalendarChart(
  days: readonly CalendarDay[],
  { from = null }: { readonly from?: Day | null } = {},
): Chart {
  // Where no date may be shown, weeks begin on the first day and are numbered.
  const weekOf = (day: Day): Day => (from === null ? mondayOf(day) : from + 7 * Math.floor((day - from) / 7))
  const clock = from === null ? BY_CALENDAR : daysFrom(from)
  const names = from === null ? WEEKDAYS : WEEKDAYS.map((_, i) => `day ${i + 1}`)
  const rows = days.flatMap((d) => {
    const level = levelOf(d)
    if (level === null) return []
    const weekday = d.day - weekOf(d.day)
    return [
      {
        week: from === null ? utc(weekOf(d.day)) : (weekOf(d.day) - from) / 7 + 1,
        weekday: names[weekday]!,
        when: clock.words(d.day),
        level,
        dose: d.logged ? d.dose : null,
      },
    ]
  })
  const inFull = rows.filter((r) => r.level === 'all').length
  const blank = rows.filter((r) => r.level === 'no diary').length
  return chart({
    title: rows.length
      ? `The whole dose on ${percent(inFull / rows.length)} of days; no diary on ${percent(blank / rows.length)}`
      : 'No day with a running programme',
    subtitle: `${count(rows.length, 'day')} with a running programme`,
    description: `Calendar with a column a week and a row a weekday. ${LEVELS.map((l) => `${l}: ${count(rows.filter((r) => r.level === l).length, 'day')}`).join('. ')}.`,
    shows: 'Each day of the programme and how much of its dose was logged.',
    reading:
      'The fuller the square, the more of the dose. A cross is a day with a diary and nothing done; an empty place is a day without any record.',
    limits: 'It cannot show whether a day without a record was not exercised or not written down.',
    table: {
      columns: [
        { field: 'when', label: 'Day' },
        { field: 'level', label: 'Dose done' },
        { field: 'dose', label: 'Share', decimals: 2 },
      ],
      rows,
    },
    build: (width) => {
      const tooltip = [
        { field: 'when', title: 'Day' },
        { field: 'level', title: 'Dose done' },
      ]
      const axis = { labelOverlap: true, labelAngle: 0, ticks: false, domain: false }
      const x =
        from === null
          ? {
              field: 'week',
              type: 'ordinal',
              timeUnit: 'utcyearmonthdate',
              axis: {
                ...axis,
                title: null,
                format: '%b',
                labelExpr: "utcdate(datum.value) <= 7 ? utcFormat(datum.value, '%b') : ''",
              },
            }
          : { field: 'week', type: 'ordinal', axis: { ...axis, title: 'Week' } }
      const y = {
        field: 'weekday',
        type: 'ordinal',
        sort: names,
        axis: { title: null, ticks: false, domain: false },
      }
      const weeks = new Set(rows.map((r) => r.week)).size
      const cell = Math.min(CELL, Math.floor((width - 48) / Math.max(1, weeks)))
      const scale = { domain: Object.keys(SIGNS), range: Object.values(SIGNS) }
      return {
        width: { step: cell },
        // The weekdays' names need their lines.
        height: { step: Math.max(cell, 14) },
        autosize: { type: 'pad' },
        data: { values: rows },
        layer: [
          {
            mark: {
              type: 'rect',
              fill: INK.quiet,
              fillOpacity: 0.08,
              stroke: INK.text,
              strokeOpacity: 0.18,
              strokeWidth: 0.5,
            },
            encoding: { x, y, tooltip, description: { field: 'when' } },
          },
          {
            transform: [{ filter: "datum.level !== 'no diary'" }],
            mark: { type: 'point', filled: true, opacity: 1, color: INK.left, size: (cell - 2) ** 2 },
            encoding: {
              x,
              y,
              shape: {
                field: 'level',
                type: 'nominal',
                scale,
                legend: { title: null, symbolSize: 170, columns: isNarrow(width) ? 2 : 4 },
              },
              tooltip,
            },
          },
        ],
      }
    },
  })
}
