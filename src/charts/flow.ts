import { type Chart, chart } from './chart.ts'
import { INK } from './theme.ts'
import { count } from './words.ts'

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
    label: `${s.clients}`,
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
        axis: { title: null, labelLimit: width < 400 ? 120 : 200 },
      }
      const x = { field: 'clients', type: 'quantitative', axis: { title: 'Clients', tickMinStep: 1 } }
      return {
        width,
        height: rows.length * 34,
        data: { values: rows },
        layer: [
          {
            mark: { type: 'bar', color: INK.left, height: { band: 0.6 } },
            encoding: {
              y,
              x,
              tooltip: [{ field: 'why', title: 'Not counted' }],
              description: { field: 'stage' },
            },
          },
          { mark: { type: 'text', align: 'left', dx: 4 }, encoding: { y, x, text: { field: 'label' } } },
        ],
      }
    },
  })
}
