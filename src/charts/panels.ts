import { isNarrow } from './layout.ts'

type Json = Readonly<Record<string, unknown>>

/** Says where a panel stands, through the axes it may title: only the lowest of a column and the first of a row. */
export interface PanelPlace {
  readonly x: (axis: Json) => Json
  readonly y: (axis: Json) => Json
}

/** Room between panels, and for the labels of their vertical axes. */
const GAP = 26
const LABELS = 44

/** Panels side by side: one on a phone; on a desk four where three would make a tower. */
export const columnsFor = (panelCount: number, width: number): number =>
  isNarrow(width) ? 1 : panelCount > 9 ? 4 : 3

/**
 * Small multiples: a panel a name in rows of so many columns. Vega-Lite's own facets draw axes in the empty places of
 * the last row; these have none.
 */
export function panels(
  names: readonly string[],
  { width, columns, height }: { readonly width: number; readonly columns: number; readonly height: number },
  panel: (name: string, place: PanelPlace) => Json,
): Json {
  const across = Math.max(1, names.length === 4 ? Math.min(2, columns) : Math.min(columns, names.length))
  const inner = Math.floor((width - LABELS - (across - 1) * GAP) / across) - 10
  return {
    autosize: { type: 'pad' },
    columns: across,
    align: 'all',
    resolve: { scale: { x: 'shared' } },
    bounds: 'flush',
    spacing: { row: 66, column: GAP + 12 },
    concat: names.map((name, i) => ({
      title: { text: name, fontSize: 12, anchor: 'start', offset: 6, color: 'currentColor' },
      width: inner - (across > 1 ? 8 : 0),
      height,
      ...panel(name, {
        x: (axis) => (i + across < names.length ? { ...axis, title: null } : axis),
        y: (axis) => (i % across === 0 ? axis : { ...axis, title: null }),
      }),
    })),
  }
}
