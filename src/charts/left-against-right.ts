import { type Day, type Reflex, targetName } from '../records/index.ts'
import { type Chart, chart } from './chart.ts'
import { isNarrow } from './layout.ts'
import { panels } from './panels.ts'
import { PERCENT_LABELS, SIDE_SHAPES, sideLines } from './theme.ts'
import { BY_CALENDAR, type Clock, count, rounded } from './words.ts'

export interface LeftRightOccasion {
  readonly reflex: Reflex
  readonly day: Day
  /** Severity, 0 to 1; null where that side was not scored on the day. */
  readonly left: number | null
  readonly right: number | null
}

/** Both sides of one client's reflexes over time, so that the gap between them shows. */
export function leftAgainstRightChart(
  occasions: readonly LeftRightOccasion[],
  clock: Clock = BY_CALENDAR,
): Chart {
  const reflexes = [...new Set(occasions.map((o) => o.reflex))]
  const rows = occasions.flatMap((o) =>
    (['left', 'right'] as const)
      .filter((side) => o[side] !== null)
      .map((side) => ({
        reflex: targetName(o.reflex),
        date: clock.value(o.day),
        when: clock.words(o.day),
        side,
        // A field of its own, since one field has one key, and the key shows lines.
        sign: side,
        severity: o[side],
      })),
  )
  const both = occasions.filter((o) => o.left !== null && o.right !== null)
  const latest = reflexes.map((r) => both.findLast((o) => o.reflex === r)).filter((o) => o !== undefined)
  const gaps = latest.map((o) => ({ name: targetName(o.reflex), gap: o.left! - o.right! }))
  const widest = gaps.toSorted((a, b) => Math.abs(b.gap) - Math.abs(a.gap))[0]
  return chart({
    title: !widest
      ? 'No day with both sides scored'
      : widest.gap === 0
        ? 'Both sides score the same in every reflex at the last visit'
        : `Widest gap now: ${widest.name}, ${widest.gap > 0 ? 'left' : 'right'} higher by ${rounded(Math.abs(widest.gap) * 100, 0)} % of the scale`,
    subtitle: `${count(both.length, 'occasion')} with both sides scored, ${count(reflexes.length, 'reflex', 'reflexes')}`,
    description: `Severity of the left and the right side over time, a panel a reflex. Latest gap, left less right: ${gaps
      .map((g) => `${g.name} ${rounded(g.gap)}`)
      .join(', ')}.`,
    shows: 'Both sides of one reflex over time, a panel a reflex.',
    reading: 'Where the lines part, the sides differ.',
    limits: 'It cannot tell a gap smaller than measuring error from no gap.',
    table: {
      columns: [
        { field: 'reflex', label: 'Reflex' },
        { field: 'when', label: 'Day' },
        { field: 'side', label: 'Side' },
        { field: 'severity', label: 'Severity', decimals: 2 },
      ],
      rows,
    },
    build: (width) =>
      panels(
        reflexes.map(targetName),
        { width, columns: isNarrow(width) ? 1 : 2, height: 110, below: 66 },
        (reflex, place) => ({
          data: { values: rows.filter((r) => r.reflex === reflex) },
          mark: { type: 'line', point: { size: 50 } },
          encoding: {
            x: { field: 'date', ...clock.channel(4) },
            y: {
              field: 'severity',
              type: 'quantitative',
              scale: { domain: [0, 1] },
              axis: place.y({ title: 'Severity', ...PERCENT_LABELS, values: [0, 0.5, 1] }),
            },
            ...sideLines(rows),
            shape: { field: 'sign', type: 'nominal', scale: SIDE_SHAPES, legend: null },
            tooltip: [
              { field: 'when', title: 'Day' },
              { field: 'side', title: 'Side' },
              { field: 'severity', title: 'Severity', format: '.0%' },
            ],
            description: { field: 'when' },
          },
        }),
      ),
  })
}
