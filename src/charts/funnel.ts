import type { FunnelLimit, FunnelPoint } from '../measures/index.ts'
import { type Chart, chart } from './chart.ts'
import { INK, LINE_KEY, PERCENT_LABELS } from './theme.ts'
import { count, percent, some } from './words.ts'

/** Reliable improvement by clinician or site within the limits that chance sets. No ranking. */
export function funnelChart(
  points: readonly Pick<FunnelPoint, 'name' | 'n' | 'share'>[],
  limits: readonly FunnelLimit[],
  { overall, by }: { readonly overall: number; readonly by: 'clinician' | 'site' },
): Chart {
  const beyond = points.filter((p) =>
    limits.some((l) => l.level > 0.99 && l.n === p.n && (p.share < l.lower || p.share > l.upper)),
  )
  const named = points.toSorted((a, b) => a.name.localeCompare(b.name, 'en'))
  const bounds = limits.flatMap((l) => [
    { n: l.n, limit: l.lower, line: `${percent(l.level)} lower`, level: `${l.level * 100} %` },
    { n: l.n, limit: l.upper, line: `${percent(l.level)} upper`, level: `${l.level * 100} %` },
  ])
  const levels = [...new Set(bounds.map((b) => b.level))]
  const y = {
    type: 'quantitative',
    scale: { domain: [0, 1] },
    axis: { title: 'Reliably improved or integrated', ...PERCENT_LABELS, tickCount: 5 },
  }
  const x = {
    field: 'n',
    type: 'quantitative',
    scale: { zero: false, nice: true, padding: 14 },
    axis: { title: 'Clients', tickMinStep: 1, tickCount: 8 },
  }
  return chart({
    title:
      points.length === 0
        ? `No ${by} with five clients or more`
        : beyond.length === 0
          ? `No ${by} lies beyond the limits that chance sets`
          : `${count(beyond.length, by)} beyond the 99.8 % limits: worth asking why`,
    subtitle: `${count(points.length, by)} with five clients or more; overall ${percent(overall)}`,
    description: `Funnel plot of the share reliably improved by ${by}, with exact binomial limits. ${named.map((p) => `${p.name}: ${percent(p.share)} of ${p.n}`).join('. ')}.`,
    shows: 'The share that improved by more than measuring error, against the number of clients.',
    reading: 'Points inside the funnel differ by no more than chance; it is wide where clients are few.',
    limits: 'It cannot show who works better: case mix differs between them, and this is no ranking.',
    table: {
      columns: [
        { field: 'name', label: by === 'site' ? 'Site' : 'Clinician' },
        { field: 'n', label: 'Clients', decimals: 0 },
        { field: 'share', label: 'Share improved', decimals: 2 },
      ],
      rows: named.map((p) => ({ ...p })),
    },
    build: (width) => ({
      width,
      height: 240,
      layer: [
        ...some(bounds, {
          data: { values: bounds },
          mark: {
            type: 'line',
            interpolate: 'linear',
            strokeWidth: 1.5,
            color: INK.quiet,
            point: { size: 1, opacity: 0 },
          },
          encoding: {
            x,
            y: { field: 'limit', ...y },
            detail: { field: 'line' },
            strokeDash: {
              field: 'level',
              type: 'nominal',
              scale: {
                domain: levels,
                range: [
                  [5, 3],
                  [1, 0],
                ],
              },
              legend: { ...LINE_KEY, labelExpr: "datum.label + ' limits'" },
            },
          },
        }),
        {
          mark: { type: 'rule', opacity: 0.5 },
          data: { values: [{ overall }] },
          encoding: { y: { field: 'overall', ...y } },
        },
        ...some(named, {
          data: { values: named },
          mark: { type: 'point', size: 90, color: INK.left },
          encoding: {
            x,
            y: { field: 'share', ...y },
            tooltip: [
              { field: 'name', title: by },
              { field: 'n', title: 'Clients' },
              { field: 'share', title: 'Share', format: '.0%' },
            ],
            description: { field: 'name' },
          },
        }),
        ...some(named, {
          data: { values: named },
          mark: { type: 'text', dy: -12 },
          encoding: { x, y: { field: 'share', ...y }, text: { field: 'name' } },
        }),
      ],
    }),
  })
}
