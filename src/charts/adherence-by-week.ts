import type { WeekAdherence } from '../measures/index.ts'
import { type Chart, chart } from './chart.ts'
import { isNarrow } from './layout.ts'
import { INK, LINE_KEY, PERCENT_LABELS } from './theme.ts'
import { count, dayWords, MONTH_LABELS, percent, utc } from './words.ts'

/** As much of a calendar week as is drawn ({@link WeekAdherence} has it). */
export type AdherenceWeek = Pick<WeekAdherence, 'monday' | 'lines' | 'doseFraction'>

const READINGS = ['logged days only', 'as logged'] as const

/** How much of the prescribed dose was done, week by week, in both readings of days without a diary. */
export function adherenceByWeekChart(weeks: readonly AdherenceWeek[]): Chart {
  const rows = weeks.flatMap((w) =>
    READINGS.map((reading) => ({
      date: utc(w.monday ?? 0),
      week: dayWords(w.monday),
      reading,
      share: reading === 'as logged' ? w.doseFraction.asLogged : w.doseFraction.loggedDaysOnly,
      lines: w.lines,
      // A field of its own, since one field has one key, and the key shows lines.
      sign: reading,
    })),
  )
  const drawn = rows.filter((r) => r.share !== null)
  const recent = weeks.slice(-4)
  const mean = (of: (w: AdherenceWeek) => number | null): number | null => {
    const known = recent.map(of).filter((x) => x !== null)
    return known.length ? known.reduce((a, b) => a + b, 0) / known.length : null
  }
  const low = mean((w) => w.doseFraction.asLogged)
  const high = mean((w) => w.doseFraction.loggedDaysOnly)
  return chart({
    title:
      low === null
        ? 'No week with a running programme'
        : `In the last ${count(recent.length, 'week')} between ${percent(low)} and ${percent(high)} of the dose was done`,
    subtitle: weeks.length
      ? `${count(weeks.length, 'week')} from ${dayWords(weeks[0]!.monday)}; up to ${count(Math.max(...weeks.map((w) => w.lines)), 'programme line')} a week`
      : 'no weeks',
    description: `Two lines of the share of the prescribed dose that was done each week: as logged, and on logged days only. ${
      low === null ? '' : `Lately ${percent(low)} and ${percent(high)}.`
    }`,
    shows:
      "Each week's share of the prescribed dose, over all programme days and over days with a diary alone.",
    reading:
      'The truth lies between the two lines: a day without a record may be a day without exercise or without a diary. Overdoing one day never pays for another.',
    limits: 'It cannot show how well an exercise was done.',
    table: {
      columns: [
        { field: 'week', label: 'Week of' },
        { field: 'reading', label: 'Reading' },
        { field: 'share', label: 'Share of dose', decimals: 2 },
        { field: 'lines', label: 'Programme lines', decimals: 0 },
      ],
      rows,
    },
    drawable: drawn.length > 0,
    build: (width) => ({
      width,
      height: isNarrow(width) ? 180 : 270,
      data: { values: drawn },
      mark: { type: 'line', point: { size: 45 } },
      encoding: {
        x: {
          field: 'date',
          type: 'temporal',
          scale: { type: 'utc' },
          axis: {
            title: null,
            labelExpr: MONTH_LABELS,
            tickCount: isNarrow(width) ? 4 : 8,
            labelOverlap: true,
          },
        },
        y: {
          field: 'share',
          type: 'quantitative',
          scale: { domain: [0, 1] },
          axis: { title: 'Share of prescribed dose', ...PERCENT_LABELS, tickCount: 5 },
        },
        color: {
          field: 'reading',
          type: 'nominal',
          scale: { domain: READINGS, range: [INK.midline, INK.left] },
          legend: { ...LINE_KEY, columns: isNarrow(width) ? 1 : 2 },
        },
        shape: {
          field: 'sign',
          type: 'nominal',
          scale: { domain: READINGS, range: ['square', 'circle'] },
          legend: null,
        },
        strokeDash: {
          field: 'reading',
          type: 'nominal',
          scale: {
            domain: READINGS,
            range: [
              [5, 3],
              [1, 0],
            ],
          },
          legend: { ...LINE_KEY, columns: isNarrow(width) ? 1 : 2 },
        },
        tooltip: [
          { field: 'week', title: 'Week of' },
          { field: 'reading', title: 'Reading' },
          { field: 'share', title: 'Share', format: '.0%' },
          { field: 'lines', title: 'Programme lines' },
        ],
        description: { field: 'week' },
      },
    }),
  })
}
