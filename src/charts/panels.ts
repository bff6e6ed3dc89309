import { isNarrow } from './layout.ts'

type Json = Readonly<Record<string, unknown>>

/**
 * Says where a panel stands, through the axes: only the lowest of a column titles its own, and only the first of a row has
 * a vertical one, so that all panels must have one vertical scale.
 */
export interface PanelPlace {
  readonly x: (axis: Json) => Json
  readonly y: (axis: Json) => Json
}

/** Room between panels, and for the labels of the vertical axis, which the first of a row has for all. */
const GAP = 22
const LABELS = 56

/** Panels side by side: two on a phone, where one would make a tower; on a desk three, so that their names have room. */
export const columnsFor = (width: number): number => (isNarrow(width) ? 2 : 3)

/** Pixels of a line of a name. */
const LINE = 13

/** A long name in two lines, where a panel is narrower than it. */
function broken(name: string): string[] {
  const at = name.length > 16 ? name.indexOf(' ') : -1
  return at < 0 ? [name] : [name.slice(0, at), name.slice(at + 1)]
}

/**
 * Small multiples: a panel a name in rows of so many columns. Vega-Lite's own facets draw axes in the empty places of
 * the last row; these have none.
 */
export function panels(
  names: readonly string[],
  {
    width,
    columns,
    height,
    below = 50,
  }: {
    readonly width: number
    readonly columns: number
    readonly height: number
    /** Room under a panel for the labels of its axis, and for the name of the next. */
    readonly below?: number
  },
  panel: (name: string, place: PanelPlace) => Json,
): Json {
  const across = Math.max(1, names.length === 4 ? Math.min(2, columns) : Math.min(columns, names.length))
  const inner = Math.floor((width - LABELS - (across - 1) * GAP) / across) - 4
  const titles = names.map((name) => (inner < 120 ? broken(name) : [name]))
  return {
    autosize: { type: 'pad' },
    columns: across,
    align: 'all',
    resolve: { scale: { x: 'shared' } },
    bounds: 'flush',
    spacing: { row: below + LINE * (Math.max(1, ...titles.map((t) => t.length)) - 1), column: GAP },
    concat: names.map((name, i) => ({
      title: { text: titles[i], fontSize: 12, anchor: 'start', offset: 6, color: 'currentColor' },
      width: inner,
      height,
      ...panel(name, {
        x: (axis) => (i + across < names.length ? { ...axis, title: null } : axis),
        y: (axis) => (i % across === 0 ? axis : { ...axis, title: null, labels: false, ticks: false }),
      }),
    })),
  }
}
