import { type Chart, chart } from './chart.ts'
import { isNarrow } from './layout.ts'
import { INK, PERCENT_LABELS } from './theme.ts'
import { count, rounded, withInterval } from './words.ts'

export interface AgreementData {
  /** Double scorings: the two raters' scores of one series on one day, in severity. */
  readonly pairs: readonly { readonly first: number; readonly second: number }[]
  readonly bias: number | null
  readonly lowerLimit: number | null
  readonly upperLimit: number | null
  readonly kappa: {
    readonly estimate: number | null
    readonly lower: number | null
    readonly upper: number | null
  } | null
}

/** Where the axis of severities ends: past 100 % there is room for the words at the lines. */
const rightEnd = (width: number): number => (isNarrow(width) ? 1.6 : 1.27)

/** Difference between two raters against their mean, with the limits of agreement. */
export function agreementChart({ pairs, bias, lowerLimit, upperLimit, kappa }: AgreementData): Chart {
  const cells = new Map<string, { mean: number; difference: number; n: number }>()
  for (const { first, second } of pairs) {
    const mean = (first + second) / 2
    const difference = first - second
    const key = JSON.stringify([mean, difference])
    const cell = cells.get(key) ?? { mean, difference, n: 0 }
    cell.n++
    cells.set(key, cell)
  }
  const rows = [...cells.values()].sort((a, b) => a.mean - b.mean || a.difference - b.difference)
  const same = pairs.filter((p) => p.first === p.second).length
  const lines = [
    { at: bias, what: 'bias' },
    { at: lowerLimit, what: 'lower limit' },
    { at: upperLimit, what: 'upper limit' },
  ]
    .filter((l) => l.at !== null)
    .map((l) => ({ ...l, words: `${l.what} ${rounded(100 * l.at!, 0)} %` }))
  const most = Math.max(1, ...rows.map((r) => r.n))
  const sizes = [...new Set([1, Math.ceil(most / 2), most])]
  return chart({
    title: pairs.length
      ? `The two raters gave the same score in ${same} of ${count(pairs.length, 'double scoring')}`
      : 'No double scoring yet',
    subtitle: `${count(pairs.length, 'pair')}${kappa ? `; quadratic-weighted kappa ${withInterval(kappa.estimate, kappa.lower, kappa.upper)}` : ''}`,
    description: `Bland–Altman plot: difference of two raters against their mean severity. Bias ${rounded(bias)}, limits of agreement ${rounded(lowerLimit)} to ${rounded(upperLimit)}.`,
    shows: 'How far two people who scored the same client on one day lie apart.',
    reading:
      'About 95 % of differences between two raters lie between the dashed lines; larger points stand for more pairs.',
    limits: 'It cannot show who scored right. A change within the lines may be rating, not reflex.',
    table: {
      columns: [
        { field: 'mean', label: 'Mean severity', decimals: 2 },
        { field: 'difference', label: 'Difference', decimals: 2 },
        { field: 'n', label: 'Pairs', decimals: 0 },
      ],
      rows,
    },
    build: (width) => ({
      width,
      height: 240,
      layer: [
        ...(lines.length
          ? [
              {
                data: { values: lines },
                mark: { type: 'rule' },
                encoding: {
                  y: {
                    field: 'at',
                    type: 'quantitative',
                    axis: { title: 'First less second rater', ...PERCENT_LABELS, tickCount: 5 },
                  },
                  strokeDash: {
                    field: 'what',
                    type: 'nominal',
                    scale: {
                      domain: ['bias', 'lower limit', 'upper limit'],
                      range: [
                        [1, 0],
                        [5, 4],
                        [5, 4],
                      ],
                    },
                    legend: null,
                  },
                },
              },
              {
                data: { values: lines },
                mark: { type: 'text', align: 'right', dy: -7, fontSize: 11 },
                encoding: {
                  x: { datum: rightEnd(width), type: 'quantitative' },
                  y: { field: 'at', type: 'quantitative' },
                  text: { field: 'words' },
                },
              },
            ]
          : []),
        ...(rows.length
          ? [
              {
                data: { values: rows },
                mark: { type: 'point', opacity: 0.7, color: INK.left },
                encoding: {
                  x: {
                    field: 'mean',
                    type: 'quantitative',
                    scale: { domain: [-0.03, rightEnd(width)], nice: false },
                    axis: {
                      title: 'Mean severity of the two',
                      ...PERCENT_LABELS,
                      values: [0, 0.25, 0.5, 0.75, 1],
                    },
                  },
                  y: { field: 'difference', type: 'quantitative' },
                  size: {
                    field: 'n',
                    type: 'quantitative',
                    scale: { range: [30, 500] },
                    legend: {
                      title: null,
                      values: sizes,
                      labelExpr: "datum.label + (datum.value === 1 ? ' pair' : ' pairs')",
                    },
                  },
                  tooltip: [
                    { field: 'difference', title: 'Difference', format: '.0%' },
                    { field: 'n', title: 'Pairs' },
                  ],
                },
              },
            ]
          : []),
      ],
    }),
  })
}
