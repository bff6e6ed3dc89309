import { type Day, mondayOf } from '../records/index.ts'
import { type Chart, chart } from './chart.ts'
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
/** Darker is more, and each level has its sign, so that it reads in grey and in print. */
const COLOURS = ['transparent', '#C9D6DE', '#8DB8D3', '#3E8CBD', '#0B4F7D']
const SIGNS: Record<Level, string> = {
  'no diary': '·',
  none: '0',
  'under half': '◔',
  'half or more': '◑',
  all: '●',
}

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
        sign: SIGNS[level],
        dark: level === 'half or more' || level === 'all',
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
    reading:
      'A dot is a day without any record: not exercised or not written down. Doing more than the dose fills a day, and no other.',
    table: {
      columns: [
        { field: 'when', label: 'Day' },
        { field: 'level', label: 'Dose done' },
        { field: 'dose', label: 'Share', decimals: 2 },
      ],
      rows,
    },
    build: (width) => {
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
      return {
        width,
        height: 150,
        data: { values: rows },
        layer: [
          {
            mark: { type: 'rect', stroke: INK.text, strokeOpacity: 0.15 },
            encoding: {
              x,
              y,
              color: {
                field: 'level',
                type: 'ordinal',
                scale: { domain: LEVELS, range: COLOURS },
                legend: {
                  title: null,
                  symbolType: 'square',
                  symbolStrokeColor: INK.quiet,
                  columns: width < 400 ? 3 : 5,
                },
              },
              tooltip: [
                { field: 'when', title: 'Day' },
                { field: 'level', title: 'Dose done' },
              ],
              description: { field: 'when' },
            },
          },
          ...(width < 400 && rows.length > 120
            ? []
            : [
                {
                  mark: { type: 'text', fontSize: 8 },
                  encoding: {
                    x,
                    y,
                    text: { field: 'sign' },
                    color: { condition: { test: 'datum.dark', value: '#ffffff' }, value: '#30363c' },
                  },
                },
              ]),
        ],
      }
    },
  })
}
