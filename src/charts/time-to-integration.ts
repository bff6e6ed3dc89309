import { type Reflex, targetName } from '../records/index.ts'
import { type Chart, chart } from './chart.ts'
import { columnsFor, panels } from './panels.ts'
import { INK, PERCENT_LABELS } from './theme.ts'
import { count, rounded, some } from './words.ts'

export interface IntegrationCurve {
  readonly reflex: Reflex
  readonly n: number
  readonly integrated: number
  /** Turnbull's estimate: share not yet integrated, between the ends of the regions in which it may fall anyhow. Days from start. */
  readonly steps: readonly {
    readonly from: number
    readonly to: number
    readonly before: number
    readonly after: number
  }[]
  /** Days of the last follow-up of the reflex. */
  readonly until: number
  /** Median time, days; null where it was not reached. */
  readonly medianDays: number | null
}

const DAYS_PER_WEEK = 7

/** Share of clients in whom a reflex is not yet integrated; boxes are where the estimate cannot say when. */
export function timeToIntegrationChart(curves: readonly IntegrationCurve[]): Chart {
  const lines: { reflex: string; weeks: number; share: number }[] = []
  const boxes: { reflex: string; from: number; to: number; before: number; after: number }[] = []
  // Where nothing integrated there is one flat line: that is said in words.
  const fallen = curves.filter((c) => c.integrated > 0)
  const flat = curves.filter((c) => c.integrated === 0).map((c) => targetName(c.reflex))
  for (const c of fallen) {
    const reflex = targetName(c.reflex)
    let share = 1
    lines.push({ reflex, weeks: 0, share })
    for (const s of c.steps) {
      lines.push({ reflex, weeks: s.from / DAYS_PER_WEEK, share: s.before })
      lines.push({ reflex, weeks: s.to / DAYS_PER_WEEK, share: s.after })
      if (s.to > s.from)
        boxes.push({
          reflex,
          from: s.from / DAYS_PER_WEEK,
          to: s.to / DAYS_PER_WEEK,
          before: s.before,
          after: s.after,
        })
      share = s.after
    }
    lines.push({ reflex, weeks: Math.max(c.until, c.steps.at(-1)?.to ?? 0) / DAYS_PER_WEEK, share })
  }
  const rows = curves.map((c) => ({
    reflex: targetName(c.reflex),
    n: c.n,
    integrated: c.integrated,
    median: c.medianDays === null ? 'not reached' : `${rounded(c.medianDays / DAYS_PER_WEEK, 0)} weeks`,
  }))
  const total = curves.reduce((sum, c) => sum + c.n, 0)
  const reached = curves.filter((c) => c.medianDays !== null)
  const axisX = { title: 'Weeks from start', tickCount: 3 }
  const axisY = { title: 'Not yet integrated', ...PERCENT_LABELS, values: [0, 0.5, 1] }
  const scale = { domain: [0, 1] }
  return chart({
    title: !curves.length
      ? 'No series to watch yet'
      : !fallen.length
        ? `None of ${count(total, 'series', 'series')} integrated within the time watched`
        : `Half the series integrated within the time watched in ${reached.length} of ${count(curves.length, 'reflex', 'reflexes')}`,
    subtitle: `${count(total, 'series', 'series')}, ${curves.reduce((sum, c) => sum + c.integrated, 0)} integrated${
      fallen.length && flat.length ? `; not drawn, since none integrated: ${flat.join(', ')}` : ''
    }`,
    description: `Share of series not yet integrated by weeks from programme start, a panel a reflex. ${rows
      .map((r) => `${r.reflex}: ${r.integrated} of ${r.n} integrated, median ${r.median}`)
      .join('. ')}.`,
    shows: "The share of series not yet integrated, by weeks from the programme's start, a panel a reflex.",
    reading: 'The day a reflex went lies between two visits: inside a box the curve may fall anywhere.',
    limits: 'It cannot show an effect: children outgrow reflexes.',
    table: {
      columns: [
        { field: 'reflex', label: 'Reflex' },
        { field: 'n', label: 'Series', decimals: 0 },
        { field: 'integrated', label: 'Integrated', decimals: 0 },
        { field: 'median', label: 'Median time' },
      ],
      rows,
    },
    drawable: fallen.length > 0,
    build: (width) =>
      panels(
        fallen.map((c) => targetName(c.reflex)),
        { width, columns: columnsFor(width), height: 100 },
        (reflex, place) => {
          const x = { type: 'quantitative', axis: place.x(axisX) }
          const y = { type: 'quantitative', scale, axis: place.y(axisY) }
          return {
            layer: [
              ...some(
                boxes.filter((b) => b.reflex === reflex),
                {
                  data: { values: boxes.filter((b) => b.reflex === reflex) },
                  mark: { type: 'rect', color: INK.left, opacity: 0.2 },
                  encoding: {
                    x: { field: 'from', ...x },
                    x2: { field: 'to' },
                    y: { field: 'after', ...y },
                    y2: { field: 'before' },
                  },
                },
              ),
              {
                data: { values: lines.filter((l) => l.reflex === reflex) },
                mark: { type: 'line', color: INK.left, point: { size: 14 } },
                encoding: {
                  x: { field: 'weeks', ...x },
                  y: { field: 'share', ...y },
                  order: { field: 'weeks' },
                  tooltip: [
                    { field: 'weeks', title: 'Weeks', format: '.0f' },
                    { field: 'share', title: 'Not yet integrated', format: '.0%' },
                  ],
                },
              },
            ],
          }
        },
      ),
  })
}
