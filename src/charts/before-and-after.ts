import { type Reflex, targetName } from '../records/index.ts'
import { type Chart, chart } from './chart.ts'
import { isNarrow, labelRows } from './layout.ts'
import { INK } from './theme.ts'
import { count, withInterval } from './words.ts'

export interface BeforeAndAfterRow {
  readonly reflex: Reflex
  /** Clients with a baseline and a follow-up. */
  readonly n: number
  /** Hedges' g of the change (follow-up less baseline); null where it cannot be estimated. */
  readonly hedgesG: number | null
  readonly lower: number | null
  readonly upper: number | null
}

/** Change from baseline to follow-up by reflex, with 95 % intervals. */
export function beforeAndAfterChart(
  rows: readonly BeforeAndAfterRow[],
  { horizon }: { readonly horizon: string },
): Chart {
  const named = rows.map((r) => ({
    reflex: targetName(r.reflex),
    label: `${targetName(r.reflex)}, n ${r.n}`,
    n: r.n,
    g: r.hedgesG,
    lower: r.lower,
    upper: r.upper,
    words: withInterval(r.hedgesG, r.lower, r.upper),
  }))
  const drawn = named.filter((r) => r.g !== null && r.lower !== null && r.upper !== null)
  const below = drawn.filter((r) => r.upper! < 0).length
  const ends = drawn.flatMap((r) => [r.lower!, r.upper!])
  const scale = {
    // Whole halves, so that zero has its own tick.
    domain: [
      Math.max(-6, Math.floor(2 * Math.min(-1, ...ends)) / 2),
      Math.min(6, Math.ceil(2 * Math.max(0.5, ...ends)) / 2),
    ],
  }
  return chart({
    title:
      drawn.length === 0
        ? 'Change by reflex cannot be estimated yet'
        : `Scores fell in ${below} of ${count(drawn.length, 'reflex', 'reflexes')} (95 % interval below no change)`,
    subtitle: `${horizon}; client is the unit; ${count(
      rows.reduce((sum, r) => sum + r.n, 0),
      'client-reflex pair',
    )}`,
    description: `Standardised change by reflex with 95 % intervals. ${drawn.map((r) => `${r.reflex}: ${r.words}, n ${r.n}`).join('. ')}.`,
    shows: 'The mean change of each reflex in units of its own spread, with a 95 % interval.',
    reading: 'Left of the line scores fell. The wider the bar, the less is known.',
    limits: 'It cannot show that a programme caused a change: nobody was compared with.',
    table: {
      columns: [
        { field: 'reflex', label: 'Reflex' },
        { field: 'n', label: 'Clients', decimals: 0 },
        { field: 'g', label: "Hedges' g", decimals: 2 },
        { field: 'lower', label: '95 % from', decimals: 2 },
        { field: 'upper', label: 'to', decimals: 2 },
      ],
      rows: named,
    },
    drawable: drawn.length > 0,
    build: (width) => {
      const y = labelRows(width, ', ', { field: 'g', order: 'ascending' })
      return {
        width,
        height: drawn.length * (isNarrow(width) ? 38 : 32),
        data: { values: drawn },
        layer: [
          { mark: { type: 'rule', opacity: 0.6 }, encoding: { x: { datum: 0 } } },
          {
            mark: { type: 'rule', strokeWidth: 2.5, opacity: 1, color: INK.left, clip: true },
            encoding: {
              y,
              x: {
                field: 'lower',
                type: 'quantitative',
                scale,
                title: '← fell · standardised change (g) · rose →',
              },
              x2: { field: 'upper' },
            },
          },
          {
            mark: { type: 'point', size: 90, opacity: 1, color: INK.left },
            encoding: {
              y,
              x: { field: 'g', type: 'quantitative', scale },
              tooltip: [
                { field: 'reflex', title: 'Reflex' },
                { field: 'words', title: 'g (95 %)' },
                { field: 'n', title: 'Clients' },
              ],
              description: { field: 'words' },
            },
          },
          {
            mark: { type: 'text', dy: -11, fontSize: 11, fontWeight: 600 },
            encoding: {
              y,
              x: { field: 'g', type: 'quantitative', scale },
              text: { field: 'g', format: '.1f' },
            },
          },
        ],
      }
    },
  })
}
