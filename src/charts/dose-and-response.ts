import { type Chart, chart } from './chart.ts'
import { isNarrow } from './layout.ts'
import { INK, LINE_KEY, PERCENT_LABELS } from './theme.ts'
import { count, withInterval } from './words.ts'

export interface DoseResponsePoint {
  readonly client_id: string
  /** Mean dose fraction of the month, 0 to 1. */
  readonly dose: number
  /** Change of severity in that month. */
  readonly change: number
}

export interface DoseResponseLine {
  readonly part: 'within a client' | 'between clients'
  readonly slope: number | null
  readonly lower: number | null
  readonly upper: number | null
  readonly from: { readonly dose: number; readonly change: number }
  readonly to: { readonly dose: number; readonly change: number }
}

const MOST_POINTS = 1500

/** Monthly change of severity against the month's dose, with the slope within and between clients. */
export function doseAndResponseChart(
  points: readonly DoseResponsePoint[],
  lines: readonly DoseResponseLine[],
): Chart {
  const step = Math.ceil(points.length / MOST_POINTS)
  const drawn = points.filter((_, i) => i % step === 0)
  const parts = ['within a client', 'between clients']
  const ends = lines.flatMap((l) => [
    { part: l.part, dose: l.from.dose, change: l.from.change },
    { part: l.part, dose: l.to.dose, change: l.to.change },
  ])
  const within = lines.find((l) => l.part === 'within a client')
  const clear =
    within && within.lower !== null && within.upper !== null && (within.lower > 0 || within.upper < 0)
  const x = {
    field: 'dose',
    type: 'quantitative',
    scale: { domain: [0, 1] },
    axis: { title: 'Share of the prescribed dose, month', ...PERCENT_LABELS, tickCount: 5 },
  }
  const y = {
    field: 'change',
    type: 'quantitative',
    axis: { title: 'Change of severity in the month', ...PERCENT_LABELS, tickCount: 5 },
  }
  return chart({
    title: !within
      ? 'Too few months to set change against dose'
      : clear
        ? `In months with more done, scores ${within.slope! < 0 ? 'fell more' : 'fell less'}: an association`
        : 'Months with more done and months with less do not differ clearly',
    subtitle: `${count(points.length, 'client-month')}, ${count(new Set(points.map((p) => p.client_id)).size, 'client')}${step > 1 ? `; every ${step}th drawn` : ''}`,
    description: `Scatter of monthly change of severity against the month's dose. Slopes: ${lines.map((l) => `${l.part} ${withInterval(l.slope, l.lower, l.upper)}`).join('; ')}.`,
    shows: 'The change of severity in each month of each series against the share of the dose done in it.',
    reading: "Below zero severity fell. One line compares a client's own months, the other compares clients.",
    limits:
      'It cannot show that more dose causes more change: families who can do more may differ in other ways.',
    table: {
      columns: [
        { field: 'part', label: 'Slope' },
        { field: 'words', label: 'Change of severity for the whole dose against none (95 %)' },
      ],
      rows: lines.map((l) => ({ part: l.part, words: withInterval(l.slope, l.lower, l.upper) })),
    },
    drawable: points.length > 0,
    build: (width) => {
      const key = isNarrow(width) ? { ...LINE_KEY, columns: 1 } : LINE_KEY
      return {
        width,
        height: 240,
        layer: [
          {
            mark: { type: 'rule', opacity: 0.5 },
            data: { values: [{ zero: 0 }] },
            encoding: { y: { field: 'zero', type: 'quantitative' } },
          },
          ...(drawn.length
            ? [
                {
                  data: { values: drawn },
                  mark: { type: 'point', size: 22, opacity: 0.35, color: INK.quiet },
                  encoding: { x, y, tooltip: [{ field: 'client_id', title: 'Client' }] },
                },
              ]
            : []),
          ...(ends.length
            ? [
                {
                  data: { values: ends },
                  mark: { type: 'line', strokeWidth: 3, point: { size: 60 } },
                  encoding: {
                    x,
                    y,
                    color: {
                      field: 'part',
                      type: 'nominal',
                      scale: { domain: parts, range: [INK.left, INK.right] },
                      legend: key,
                    },
                    strokeDash: {
                      field: 'part',
                      type: 'nominal',
                      scale: {
                        domain: parts,
                        range: [
                          [1, 0],
                          [6, 3],
                        ],
                      },
                      legend: key,
                    },
                  },
                },
              ]
            : []),
        ],
      }
    },
  })
}
