import { type Side, type Target, targetName } from '../records/index.ts'
import { type Chart, chart } from './chart.ts'
import { isNarrow, labelRows } from './layout.ts'
import { INK, PERCENT_LABELS, SIDE_SCALE } from './theme.ts'
import { count, percent, rounded } from './words.ts'

export interface DeliveredRow {
  readonly target: Target
  readonly side: Side
  /** In one unit for both: repetitions, or seconds where no repetitions are prescribed. */
  readonly unit: 'repetitions' | 'seconds'
  readonly prescribed: number
  readonly delivered: number
}

/** What was prescribed and what was logged, by target and side. */
export function deliveredAgainstPrescribedChart(data: readonly DeliveredRow[]): Chart {
  const rows = data.map((d) => ({
    target: targetName(d.target),
    side: d.side,
    label: `${targetName(d.target)}, ${d.side}`,
    unit: d.unit,
    prescribed: d.prescribed,
    delivered: d.delivered,
    share: d.prescribed > 0 ? d.delivered / d.prescribed : null,
    text: d.prescribed > 0 ? percent(d.delivered / d.prescribed) : '',
  }))
  const drawn = rows.filter((r) => r.share !== null)
  const shares = drawn.map((r) => r.share!)
  const most = Math.max(1, ...shares)
  return chart({
    title: drawn.length
      ? `Between ${percent(Math.min(...shares))} and ${percent(Math.max(...shares))} of the prescribed amount was logged`
      : 'Nothing was prescribed in this time',
    subtitle: `${count(rows.length, 'target and side', 'targets and sides')}`,
    description: `Bars of the amount logged as a share of the amount prescribed. ${drawn.map((r) => `${r.label}: ${r.text}, ${rounded(r.delivered, 0)} of ${rounded(r.prescribed, 0)} ${r.unit}`).join('. ')}.`,
    shows: 'What was logged of each exercise as a share of what was prescribed.',
    reading:
      'The line is the prescribed amount. A surplus on one day counts here, though it never pays for another day in the dose.',
    limits: 'It cannot show on which days it was done, nor how well.',
    table: {
      columns: [
        { field: 'target', label: 'Target' },
        { field: 'side', label: 'Side' },
        { field: 'unit', label: 'Counted in' },
        { field: 'prescribed', label: 'Prescribed', decimals: 0 },
        { field: 'delivered', label: 'Logged', decimals: 0 },
        { field: 'text', label: 'Share' },
      ],
      rows,
    },
    drawable: drawn.length > 0,
    build: (width) => {
      const y = labelRows(width, ', ')
      const x = {
        field: 'share',
        type: 'quantitative',
        // Room on the right for the figures, which stand in a column of their own.
        scale: { domain: [0, most * (isNarrow(width) ? 1.6 : 1.25)], nice: false },
        axis: {
          title: 'Share of the prescribed amount',
          ...PERCENT_LABELS,
          ...(isNarrow(width) ? { values: [0, 0.5, 1] } : { tickCount: 6 }),
        },
      }
      return {
        width,
        height: drawn.length * (isNarrow(width) ? 36 : 28),
        data: { values: drawn },
        layer: [
          {
            mark: { type: 'bar', height: { band: 0.6 } },
            encoding: {
              y,
              x,
              color: { field: 'side', type: 'nominal', scale: SIDE_SCALE, legend: null },
              tooltip: [
                { field: 'label', title: 'Target and side' },
                { field: 'delivered', title: 'Logged', format: ',.0f' },
                { field: 'prescribed', title: 'Prescribed', format: ',.0f' },
                { field: 'unit', title: 'Counted in' },
              ],
              description: { field: 'label' },
            },
          },
          {
            mark: { type: 'rule', strokeWidth: 2, color: INK.text },
            encoding: { x: { datum: 1, type: 'quantitative' } },
          },
          {
            mark: { type: 'text', align: 'right' },
            encoding: { y, x: { value: 'width' }, text: { field: 'text' } },
          },
        ],
      }
    },
  })
}
