import { type Day, type Side, type Target, targetName } from '../records/index.ts'
import { type Chart, chart } from './chart.ts'
import { INK, SIDE_SCALE, SIDE_SHAPES } from './theme.ts'
import { BY_CALENDAR, type Clock, count, rounded, some } from './words.ts'

export interface CourseData {
  readonly reflex: Target
  readonly side: Side
  readonly scaleMax: number
  /** Scored occasions, in order of day. */
  readonly occasions: readonly { readonly day: Day; readonly score: number }[]
  /** The model's course of this series with its band, where there is one. */
  readonly band?: readonly {
    readonly day: Day
    readonly fit: number
    readonly lower: number
    readonly upper: number
  }[]
  readonly programmeStart?: Day | null
  /** The day on which the client reaches the usual upper age of this reflex, where known. */
  readonly pastUsualAgeFrom?: Day | null
  /** Status of the series, in words. */
  readonly status: string
}

/** The course of one series: scores, the model's band, the start of the programme and the usual upper age. */
export function courseChart(data: CourseData, clock: Clock = BY_CALENDAR): Chart {
  const { occasions, band = [] } = data
  const name = `${targetName(data.reflex)}, ${data.side}`
  const points = occasions.map((o) => ({
    date: clock.value(o.day),
    score: o.score,
    side: data.side,
    when: clock.words(o.day),
  }))
  const first = occasions[0]
  const last = occasions.at(-1)
  const days = [...occasions, ...band].map((o) => o.day)
  const within = (day: Day | null | undefined): day is Day =>
    day !== null &&
    day !== undefined &&
    days.length > 0 &&
    day >= Math.min(...days) - 31 &&
    day <= Math.max(...days) + 31
  const marks = [
    ...(within(data.programmeStart)
      ? [{ date: clock.value(data.programmeStart), mark: 'programme starts' }]
      : []),
    ...(within(data.pastUsualAgeFrom)
      ? [{ date: clock.value(data.pastUsualAgeFrom), mark: 'usual upper age' }]
      : []),
  ]
  const middle = clock.value((Math.min(...days) + Math.max(...days)) / 2)
  const noted = marks.map((m, row) => ({ ...m, row, late: m.date > middle }))
  const at = clock.channel(5)
  const x = { field: 'date', ...at }
  const scale = { domain: [0, data.scaleMax] }
  return chart({
    title: `${name}: ${data.status}`,
    subtitle: `${count(occasions.length, 'occasion')}${first && last ? `, ${clock.words(first.day)} to ${clock.words(last.day)}` : ''}`,
    description: `Line of scores from 0 (absent) to ${data.scaleMax} (strongest) for ${name}. ${
      first && last
        ? `From ${rounded(first.score, 1)} on ${clock.words(first.day)} to ${rounded(last.score, 1)} on ${clock.words(last.day)}.`
        : 'No scores.'
    }`,
    shows: 'The scores of one reflex and side over time.',
    reading:
      'Points are scores (mean where two people scored); the band is where the caseload model expects this series to be.',
    limits: 'It cannot show why the course changed.',
    table: {
      columns: [
        { field: 'when', label: 'Day' },
        { field: 'score', label: 'Score', decimals: 1 },
      ],
      rows: points,
    },
    build: (width) => ({
      width,
      height: 200,
      layer: [
        ...some(band, {
          data: { values: band.map((b) => ({ date: clock.value(b.day), lower: b.lower, upper: b.upper })) },
          mark: { type: 'area', opacity: 0.18, color: INK.quiet, clip: true },
          encoding: { x, y: { field: 'lower', type: 'quantitative', scale }, y2: { field: 'upper' } },
        }),
        ...some(noted, {
          data: { values: noted },
          mark: { type: 'rule', strokeDash: [4, 4], opacity: 0.7 },
          encoding: { x },
        }),
        ...some(noted, {
          data: { values: noted },
          mark: {
            type: 'text',
            align: { expr: "datum.late ? 'right' : 'left'" },
            dx: { expr: 'datum.late ? -4 : 4' },
            dy: { expr: '-5 - 14 * datum.row' },
            baseline: 'bottom',
            fontSize: 11,
          },
          encoding: { x, y: { value: 0 }, text: { field: 'mark' } },
        }),
        {
          data: { values: points },
          mark: { type: 'line', point: { size: 60 } },
          encoding: {
            x,
            y: { field: 'score', type: 'quantitative', scale, axis: { title: 'Score', tickMinStep: 1 } },
            color: { field: 'side', type: 'nominal', scale: SIDE_SCALE, legend: null },
            shape: { field: 'side', type: 'nominal', scale: SIDE_SHAPES, legend: null },
            tooltip: [
              { field: 'when', title: 'Day' },
              { field: 'score', title: 'Score', format: '.1f' },
            ],
            description: { field: 'when' },
          },
        },
      ],
    }),
  })
}
