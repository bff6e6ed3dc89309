import { type Chart, chart } from './chart.ts'
import { INK } from './theme.ts'
import { count, grouped } from './words.ts'

export interface FlowChartStage {
  /** "enrolled", "with a programme", "with a baseline", "analysed". */
  readonly stage: string
  readonly clients: number
  /** Who left between the stage before and this one, and why. */
  readonly left: readonly { readonly reason: string; readonly count: number }[]
}

/** From enrolled to analysed: how many are left at each stage, and why the others are not. */
export function flowChart(stages: readonly FlowChartStage[]): Chart {
  const rows = stages.map((s, order) => ({
    stage: s.stage,
    order,
    clients: s.clients,
    why: s.left.map((l) => `${l.count} ${l.reason}`).join('; '),
    label: grouped(s.clients),
    less: s.left.length ? `less ${s.left.map((l) => `${grouped(l.count)}: ${l.reason}`).join('; ')}` : '',
  }))
  const first = stages[0]
  const last = stages.at(-1)
  return chart({
    title:
      first && last ? `${last.clients} of ${count(first.clients, 'client')} ${last.stage}` : 'No clients',
    subtitle: 'every client who is not counted is named by a reason',
    description: `Bars of clients at each stage. ${rows.map((r) => `${r.stage}: ${r.clients}${r.why ? `, after ${r.why}` : ''}`).join('. ')}.`,
    reading: 'Those who left may differ from those who stayed, so the last bar does not speak for the first.',
    table: {
      columns: [
        { field: 'stage', label: 'Stage' },
        { field: 'clients', label: 'Clients', decimals: 0 },
        { field: 'why', label: 'Not counted from here on' },
      ],
      rows,
    },
    build: (width) => {
      const y = {
        field: 'stage',
        type: 'nominal',
        sort: rows.map((r) => r.stage),
        axis: { title: null, ticks: false, domain: false, labelLimit: width < 400 ? 120 : 200 },
      }
      const most = Math.max(1, ...rows.map((r) => r.clients))
      // The numbers stand at the bars, so the axis says nothing more.
      const x = { field: 'clients', type: 'quantitative', scale: { domain: [0, most * 1.15] }, axis: null }
      return {
        width,
        height: rows.length * 46,
        data: { values: rows },
        layer: [
          {
            mark: { type: 'bar', color: INK.left, height: 16 },
            encoding: {
              y,
              x,
              tooltip: [{ field: 'why', title: 'Not counted' }],
              description: { field: 'stage' },
            },
          },
          {
            mark: { type: 'text', align: 'left', dx: 4, fontWeight: 600 },
            encoding: { y, x, text: { field: 'label' } },
          },
          {
            mark: {
              type: 'text',
              align: 'left',
              dx: 1,
              dy: 17,
              fontSize: 11,
              limit: width < 400 ? 190 : 440,
            },
            encoding: { y, x: { value: 0 }, text: { field: 'less' } },
          },
        ],
      }
    },
  })
}
