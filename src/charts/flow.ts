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

/** Pixels: a stage's name, its bar, a line of reasons, and the room before the next stage. */
const NAME = 17
const BAR = 14
const LINE = 13
const GAP = 13

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
      let height = 0
      const placed = drawn.map((r) => {
        const name = height
        const top = name + NAME
        height = top + BAR + r.less.length * LINE + GAP
        return { ...r, none: 0, name, top, middle: top + BAR / 2, bottom: top + BAR }
      })
      // The numbers stand at the bars and the names above them, so the axes say nothing more.
      const y = (field: string): object => ({
        field,
        type: 'quantitative',
        scale: { domain: [0, Math.max(1, height)], reverse: true, nice: false },
        axis: null,
      })
      const most = Math.max(1, ...rows.map((r) => r.clients))
      const x = (field: string): object => ({
        field,
        type: 'quantitative',
        scale: { domain: [0, most * 1.15], nice: false },
        axis: null,
      })
      const words = { type: 'text', align: 'left', dx: 1, baseline: 'top' }
      const name = { y: y('name'), x: x('none') }
      return {
        width,
        height,
        data: { values: placed },
        layer: [
          {
            mark: { type: 'rect', color: INK.left },
            encoding: {
              x: x('none'),
              x2: { field: 'clients' },
              y: y('top'),
              y2: { field: 'bottom' },
              tooltip: [{ field: 'why', title: 'Not counted' }],
              description: { field: 'stage' },
            },
          },
          {
            mark: { ...words, dx: 4, baseline: 'middle', fontWeight: 600 },
            encoding: { y: y('middle'), x: x('clients'), text: { field: 'label' } },
          },
          { mark: { ...words, dy: 2 }, encoding: { ...name, text: { field: 'stage' } } },
          {
            mark: { ...words, dy: 2, fontSize: 11, lineHeight: LINE },
            encoding: { y: y('bottom'), x: x('none'), text: { field: 'less' } },
          },
        ],
      }
    },
  })
}
