import type { Status } from '../measures/index.ts'
import { REFLEXES, type Reflex, targetName } from '../records/index.ts'
import { type Chart, chart } from './chart.ts'
import { isNarrow } from './layout.ts'
import { INK } from './theme.ts'
import { count, percent } from './words.ts'

/** The last group: dark as the first to who sees no green or red, so an arrow stands at its end. */
const UP = 'rising, returned or new'

/** Statuses in the order in which they are stacked, gathered into four that a reader can hold. */
const GROUPS: readonly { readonly name: string; readonly of: readonly Status[]; readonly colour: string }[] =
  [
    { name: 'gone', of: ['integrated', 'absent, unconfirmed', 'never seen'], colour: '#0A6B52' },
    { name: 'fading', of: ['fading'], colour: '#58B096' },
    {
      name: 'no reliable change',
      of: ['no reliable change', 'wavering', 'not enough scores'],
      colour: '#D3D7DC',
    },
    { name: UP, of: ['rising', 'returned', 'appeared'], colour: INK.caution },
  ]

/** Where every series stands, by reflex. */
export function statusByReflexChart(
  series: readonly { readonly series: { readonly reflex: Reflex }; readonly status: Status }[],
): Chart {
  const reflexes = REFLEXES.filter((r) => series.some((s) => s.series.reflex === r))
  const rows = reflexes.flatMap((reflex) =>
    GROUPS.map((group, order) => ({
      reflex: targetName(reflex),
      group: group.name,
      order,
      series: series.filter((s) => s.series.reflex === reflex && group.of.includes(s.status)).length,
    })),
  )
  const total = rows.reduce((sum, r) => sum + r.series, 0)
  const inGroups = (...names: string[]): number =>
    rows.filter((r) => names.includes(r.group)).reduce((sum, r) => sum + r.series, 0)
  const better = inGroups('gone', 'fading')
  const worse = inGroups(UP)
  return chart({
    title: total
      ? `${percent(better / total)} of series are gone or fading; ${count(worse, 'series', 'series')} rising, returned or new`
      : 'No series yet',
    subtitle: `${count(total, 'series', 'series')} (client, reflex and side) in ${count(reflexes.length, 'reflex', 'reflexes')}`,
    description: `Stacked bars of where every series stands, by reflex. ${rows
      .filter((r) => r.series > 0)
      .map((r) => `${r.reflex}: ${r.series} ${r.group}`)
      .join('. ')}.`,
    shows: 'How many series of each reflex are gone, fading, unchanged, or rising and back.',
    reading:
      'Numbers count series. Fading and rising mean a change of more than measuring error explains; "no reliable change" includes series with too few scores and wavering ones.',
    limits: 'It cannot show why a series stands where it does.',
    table: {
      columns: [
        { field: 'reflex', label: 'Reflex' },
        { field: 'group', label: 'Where it stands' },
        { field: 'series', label: 'Series', decimals: 0 },
      ],
      rows,
    },
    build: (width) => {
      const most = Math.max(
        1,
        ...reflexes.map((reflex) => series.filter((s) => s.series.reflex === reflex).length),
      )
      const least = (9 * 1.06 * most) / (width - 150)
      const y = { field: 'reflex', type: 'nominal', sort: reflexes.map(targetName), axis: { title: null } }
      const x = {
        field: 'series',
        type: 'quantitative',
        stack: 'zero',
        scale: { domainMax: 1.06 * most, nice: false },
        axis: { title: 'Series', tickMinStep: 1 },
      }
      return {
        width,
        height: reflexes.length * 26,
        data: { values: rows.filter((r) => r.series > 0) },
        encoding: { y, x, order: { field: 'order' } },
        layer: [
          {
            mark: {
              type: 'bar',
              height: { band: 0.75 },
              stroke: INK.text,
              strokeOpacity: 0.45,
              strokeWidth: 0.75,
            },
            encoding: {
              color: {
                field: 'group',
                type: 'nominal',
                scale: { domain: GROUPS.map((g) => g.name), range: GROUPS.map((g) => g.colour) },
                legend: {
                  title: null,
                  columns: isNarrow(width) ? 1 : 2,
                  symbolType: 'square',
                  labelExpr: `datum.label === '${UP}' ? datum.label + ' ↑' : datum.label`,
                },
              },
              tooltip: [
                { field: 'reflex', title: 'Reflex' },
                { field: 'group', title: 'Where it stands' },
                { field: 'series', title: 'Series' },
              ],
              description: { field: 'group' },
            },
          },
          {
            mark: { type: 'text', fontSize: 11, fontWeight: 600 },
            encoding: {
              x: { field: 'series', type: 'quantitative', stack: 'zero', bandPosition: 0.5 },
              // A bar narrower than its figure has none.
              text: { condition: { test: `datum.series >= ${least}`, field: 'series' }, value: '' },
              color: { condition: { test: 'datum.order % 3 === 0', value: '#ffffff' }, value: '#101418' },
            },
          },
          {
            mark: { type: 'text', align: 'left', dx: 3, fontWeight: 600, aria: false },
            encoding: {
              x: { field: 'series', type: 'quantitative', stack: 'zero' },
              text: { condition: { test: 'datum.order === 3', value: '↑' }, value: '' },
            },
          },
        ],
      }
    },
  })
}
