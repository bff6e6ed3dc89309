import { REFLEXES, type Reflex, type Side, targetName } from '../records/index.ts'
import { type Chart, type ChartRow, chart } from './chart.ts'
import { columnsFor, panels } from './panels.ts'
import { INK, PERCENT_LABELS, sideLines } from './theme.ts'
import { count, some } from './words.ts'

export interface CoursesData {
  /** Scored occasions of every series: months from the programme's start, severity 0 to 1. */
  readonly occasions: readonly {
    readonly client_id: string
    readonly reflex: Reflex
    readonly side: Side
    readonly months: number
    readonly severity: number
  }[]
  /** The caseload's mean course over all reflexes with its band, where there is one: the same line in every panel. */
  readonly mean: readonly {
    readonly months: number
    readonly fit: number
    readonly lower: number
    readonly upper: number
  }[]
}

/** More lines than this in one panel are a blot: every nth series is drawn instead. */
const MOST_SERIES = 40

interface Drawn {
  readonly reflex: string
  readonly series: string
  readonly side: Side
  readonly months: number
  readonly severity: number
}

function thinned(
  data: CoursesData,
  reflex: Reflex,
): { readonly rows: readonly Drawn[]; readonly series: number } {
  const series = new Map<string, Drawn[]>()
  for (const o of data.occasions)
    if (o.reflex === reflex) {
      const key = `${o.client_id} ${o.side}`
      const row = {
        reflex: targetName(reflex),
        series: key,
        side: o.side,
        months: o.months,
        severity: o.severity,
      }
      const rows = series.get(key)
      if (rows) rows.push(row)
      else series.set(key, [row])
    }
  const step = Math.ceil(series.size / MOST_SERIES)
  return { rows: [...series.values()].filter((_, i) => i % step === 0).flat(), series: series.size }
}

/** Whole months from a start at which an axis has a tick: zero is one of them, and there are at most five. */
function monthTicks(points: readonly { readonly months: number }[]): number[] {
  const all = points.map((p) => p.months)
  const from = Math.min(0, ...all)
  const to = Math.max(1, ...all)
  const step = [1, 2, 3, 6, 12, 24].find((s) => (to - from) / s <= 4) ?? 60
  const first = Math.ceil(from / step)
  return Array.from({ length: Math.floor(to / step) - first + 1 }, (_, i) => (first + i) * step)
}

/** Small multiples by reflex: every series as a line by side, and the caseload's mean course over them. */
export function coursesChart(data: CoursesData): Chart {
  const reflexes = REFLEXES.filter((r) => data.occasions.some((o) => o.reflex === r))
  const panelled = reflexes.map((r) => ({ reflex: r, ...thinned(data, r) }))
  const total = panelled.reduce((sum, p) => sum + p.series, 0)
  const drawn = panelled.reduce((sum, p) => sum + new Set(p.rows.map((r) => r.series)).size, 0)
  const [first] = data.mean
  const last = data.mean.at(-1)
  const rows: readonly ChartRow[] = panelled.map((p) => ({ reflex: targetName(p.reflex), series: p.series }))
  const points = panelled.flatMap((p) => p.rows)
  return chart({
    title:
      first && last && last.months > first.months
        ? `The caseload's mean course ${last.fit < first.fit ? 'falls' : 'does not fall'} over ${count(Math.round(last.months - first.months), 'month')}`
        : 'Courses of all series',
    subtitle: `${count(total, 'series', 'series')}${drawn < total ? `, ${drawn} of them drawn` : ''}; severity is score ÷ top of scale`,
    description: `Small multiples by reflex: severity of every series against months from the programme's start, with the mean course. ${rows
      .map((r) => `${r.reflex}: ${r.series} series`)
      .join('. ')}.`,
    shows: 'Every series from the start of its programme, a panel a reflex.',
    reading:
      'Thin lines are series by side (dashed right, dotted midline), the thick one is the mean of the whole caseload with its band, the same in every panel.',
    limits: 'It cannot tell the programme from growing up.',
    table: {
      columns: [
        { field: 'reflex', label: 'Reflex' },
        { field: 'series', label: 'Series', decimals: 0 },
      ],
      rows,
    },
    build: (width) =>
      panels(
        reflexes.map(targetName),
        { width, columns: columnsFor(width), height: 100 },
        (reflex, place) => {
          const x = {
            field: 'months',
            type: 'quantitative',
            axis: place.x({ title: 'Months from start', values: monthTicks(points) }),
          }
          const y = {
            type: 'quantitative',
            scale: { domain: [0, 1] },
            axis: place.y({ title: 'Severity', ...PERCENT_LABELS, values: [0, 0.5, 1] }),
          }
          return {
            layer: [
              {
                data: { values: points.filter((p) => p.reflex === reflex) },
                mark: { type: 'line', strokeWidth: 1, opacity: 0.45, point: { size: 8, opacity: 0.5 } },
                encoding: {
                  x,
                  y: { field: 'severity', ...y },
                  detail: { field: 'series' },
                  ...sideLines(points),
                  tooltip: [{ field: 'series', title: 'Client and side' }],
                },
              },
              ...some(data.mean, {
                data: { values: data.mean },
                mark: { type: 'area', opacity: 0.25, color: INK.quiet },
                encoding: { x, y: { field: 'lower', ...y }, y2: { field: 'upper' } },
              }),
              ...some(data.mean, {
                data: { values: data.mean },
                mark: { type: 'line', strokeWidth: 3, color: INK.text },
                encoding: { x, y: { field: 'fit', ...y } },
              }),
            ],
          }
        },
      ),
  })
}
