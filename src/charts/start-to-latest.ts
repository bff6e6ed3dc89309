import { type Reflex, targetName } from '../records/index.ts'
import { type Chart, chart } from './chart.ts'
import { INK, PERCENT_LABELS } from './theme.ts'
import { count, percent } from './words.ts'

export interface StartToLatestRow {
  readonly client_id: string
  readonly reflex: Reflex
  /** Severity, 0 to 1, mean over sides. */
  readonly baseline: number
  readonly latest: number
}

/** Two severities nearer than this are drawn and counted as equal. */
const SAME = 1e-9

/** Severity at the start against severity now, a point a client and reflex: below the diagonal it fell. */
export function startToLatestChart(rows: readonly StartToLatestRow[]): Chart {
  const counted = new Map<string, { baseline: number; latest: number; n: number; who: string[] }>()
  for (const r of rows) {
    const key = JSON.stringify([r.baseline, r.latest])
    const cell = counted.get(key) ?? { baseline: r.baseline, latest: r.latest, n: 0, who: [] }
    cell.n++
    if (cell.who.length < 3) cell.who.push(`${r.client_id} ${targetName(r.reflex)}`)
    counted.set(key, cell)
  }
  const points = [...counted.values()].map((c) => ({
    baseline: c.baseline,
    latest: c.latest,
    n: c.n,
    direction:
      c.latest < c.baseline - SAME ? 'lower now' : c.latest > c.baseline + SAME ? 'higher now' : 'the same',
    who: c.who.join(', ') + (c.n > c.who.length ? ` and ${c.n - c.who.length} more` : ''),
  }))
  const lower = rows.filter((r) => r.latest < r.baseline - SAME).length
  const higher = rows.filter((r) => r.latest > r.baseline + SAME).length
  const axis = { tickCount: 5, ...PERCENT_LABELS }
  const scale = { domain: [-0.03, 1.03], nice: false }
  const directions = ['lower now', 'the same', 'higher now']
  return chart({
    title: rows.length
      ? `${percent(lower / rows.length)} lower now than at the start, ${percent(higher / rows.length)} higher`
      : 'No pair of scores yet',
    subtitle: `${count(rows.length, 'client-reflex pair')}; severity is score ÷ top of scale, mean over sides`,
    description: `Scatter of severity at the start against the latest severity. ${lower} of ${rows.length} pairs are lower now, ${higher} higher.`,
    shows: 'Severity at the follow-up against severity at the start, a point a client and reflex.',
    reading: 'Below the diagonal severity fell; larger points stand for more pairs.',
    limits: 'It cannot show an effect: high starts drift down by themselves.',
    table: {
      columns: [
        { field: 'baseline', label: 'Severity at start', decimals: 2 },
        { field: 'latest', label: 'Latest severity', decimals: 2 },
        { field: 'n', label: 'Pairs', decimals: 0 },
        { field: 'who', label: 'Who' },
      ],
      rows: points,
    },
    build: (width) => ({
      width: Math.min(width, 460),
      height: Math.min(width, 460) * 0.72,
      layer: [
        {
          data: { values: [{ a: 0, b: 1 }] },
          mark: { type: 'rule', strokeDash: [4, 4], opacity: 0.6 },
          encoding: {
            x: { field: 'a', type: 'quantitative', scale, axis: { ...axis, title: 'At the start' } },
            y: { field: 'a', type: 'quantitative', scale, axis: { ...axis, title: 'Latest' } },
            x2: { field: 'b' },
            y2: { field: 'b' },
          },
        },
        {
          data: { values: points },
          mark: { type: 'point', opacity: 0.75 },
          encoding: {
            x: { field: 'baseline', type: 'quantitative', scale },
            y: { field: 'latest', type: 'quantitative', scale },
            size: { field: 'n', type: 'quantitative', scale: { range: [30, 420] }, legend: null },
            color: {
              field: 'direction',
              type: 'nominal',
              scale: { domain: directions, range: [INK.left, INK.quiet, INK.caution] },
              legend: { title: null },
            },
            shape: {
              field: 'direction',
              type: 'nominal',
              scale: { domain: directions, range: ['circle', 'square', 'triangle-up'] },
            },
            tooltip: [
              { field: 'who', title: 'Who' },
              { field: 'n', title: 'Pairs' },
            ],
            description: { field: 'who' },
          },
        },
      ],
    }),
  })
}
