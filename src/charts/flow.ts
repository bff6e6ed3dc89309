import { type Chart, chart } from './chart.ts'
import { isNarrow } from './layout.ts'
import { INK } from './theme.ts'
import { count, grouped } from './words.ts'

export interface FlowChartStage {
  /** "enrolled", "with a programme", "with a baseline", "analysed". */
  readonly stage: string
  readonly clients: number
  /** Who left between the stage before and this one, and why. */
  readonly left: readonly { readonly reason: string; readonly count: number }[]
}

/** Pixels: half a bar, the room above its middle for its name, and a line of reasons. */
const HALF_BAR = 8
const NAME = 26
const LINE = 13

/** Letters that fit on a line under a bar. */
const lettersOn = (width: number): number => (isNarrow(width) ? 48 : 100)

/** Reasons in lines that fit, each reason from a line of its own. */
function inLines(reasons: readonly string[], letters: number): string[] {
  const lines: string[] = []
  for (const reason of reasons) {
    let line = ''
    for (const word of reason.split(' '))
      if (line === '' || line.length + 1 + word.length <= letters) line += `${line && ' '}${word}`
      else {
        lines.push(line)
        line = word
      }
    lines.push(line)
  }
  return lines
}

/** From enrolled to analysed: how many are left at each stage, and why the others are not. */
export function flowChart(stages: readonly FlowChartStage[]): Chart {
  const rows = stages.map((s, order) => ({
    stage: s.stage,
    order,
    clients: s.clients,
    why: s.left.map((l) => `${l.count} ${l.reason}`).join('; '),
    label: grouped(s.clients),
  }))
  const first = stages[0]
  const last = stages.at(-1)
  return chart({
    title:
      first && last ? `${last.clients} of ${count(first.clients, 'client')} ${last.stage}` : 'No clients',
    subtitle: 'every client who is not counted is named by a reason',
    description: `Bars of clients at each stage. ${rows.map((r) => `${r.stage}: ${r.clients}${r.why ? `, after ${r.why}` : ''}`).join('. ')}.`,
    shows: 'How many clients are left at each stage, and why the others are not.',
    reading: 'Under a bar stand those whom it has lost since the bar above.',
    limits: 'It cannot speak for those who left: they may differ from those who stayed.',
    table: {
      columns: [
        { field: 'stage', label: 'Stage' },
        { field: 'clients', label: 'Clients', decimals: 0 },
        { field: 'why', label: 'Not counted from here on' },
      ],
      rows,
    },
    build: (width) => {
      const drawn = rows.map((r, i) => ({
        ...r,
        less: inLines(
          stages[i]!.left.map((l, k) => `${k === 0 ? 'less ' : ''}${grouped(l.count)}: ${l.reason}`),
          lettersOn(width),
        ),
      }))
      const lines = Math.max(0, ...drawn.map((r) => r.less.length))
      // The numbers stand at the bars and the names above them, so the axes say nothing more.
      const y = { field: 'stage', type: 'nominal', sort: rows.map((r) => r.stage), axis: null }
      const most = Math.max(1, ...rows.map((r) => r.clients))
      const x = { field: 'clients', type: 'quantitative', scale: { domain: [0, most * 1.15] }, axis: null }
      const words = { type: 'text', align: 'left', dx: 1 }
      return {
        width,
        height: rows.length * (2 * Math.max(NAME, HALF_BAR + lines * LINE) + 6),
        data: { values: drawn },
        layer: [
          {
            mark: { type: 'bar', color: INK.left, height: 2 * HALF_BAR },
            encoding: {
              y,
              x,
              tooltip: [{ field: 'why', title: 'Not counted' }],
              description: { field: 'stage' },
            },
          },
          { mark: { ...words, dx: 4, fontWeight: 600 }, encoding: { y, x, text: { field: 'label' } } },
          { mark: { ...words, dy: -17 }, encoding: { y, x: { value: 0 }, text: { field: 'stage' } } },
          {
            mark: { ...words, dy: HALF_BAR + 3, baseline: 'top', fontSize: 11, lineHeight: LINE },
            encoding: { y, x: { value: 0 }, text: { field: 'less' } },
          },
        ],
      }
    },
  })
}
