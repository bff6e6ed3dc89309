import type { Config } from 'vega-lite'

/**
 * The colours of all charts, told apart in the common colour-vision deficiencies (after Okabe and Ito 2008, darkened
 * until each has 3 : 1 against both page backgrounds: WCAG 2.2, criterion 1.4.11) and never alone: shape, dash
 * or words always say the same.
 */
export const INK = {
  /** Text, axes and rules take the page's own colour, so that one drawing serves light, dark and print. */
  text: 'currentColor',
  left: '#0072B2',
  right: '#C4570C',
  midline: '#0B8A67',
  good: '#0B8A67',
  caution: '#B3367A',
  quiet: '#7A828C',
} as const

type SideName = 'left' | 'right' | 'midline'
const SIDES: readonly SideName[] = ['left', 'right', 'midline']

export const SIDE_SCALE = { domain: SIDES, range: [INK.left, INK.right, INK.midline] } as const
export const SIDE_SHAPES = { domain: SIDES, range: ['circle', 'square', 'diamond'] } as const
export const SIDE_DASHES = {
  domain: SIDES,
  range: [
    [1, 0],
    [6, 3],
    [2, 2],
  ],
} as const

/** The key of lines: a piece of each line, dashes and all. Filled signs with a dashed edge look torn. */
export const LINE_KEY = {
  title: null,
  symbolType: 'stroke',
  symbolSize: 500,
  symbolStrokeWidth: 2.5,
  symbolOpacity: 1,
} as const

/** Colour and dashes by side, with one key that names only the sides there are. */
export function sideLines(rows: readonly { readonly side: SideName }[]): Readonly<Record<string, unknown>> {
  const values = SIDES.filter((side) => rows.some((r) => r.side === side))
  const legend = values.length > 1 ? { ...LINE_KEY, columns: 3, values } : null
  return {
    color: { field: 'side', type: 'nominal', scale: SIDE_SCALE, legend },
    strokeDash: { field: 'side', type: 'nominal', scale: SIDE_DASHES, legend },
  }
}

/** Labels of a share as the sentences write them: `40 %`. */
export const PERCENT_LABELS = { labelExpr: "replace(round(datum.value * 100), '-', '−') + ' %'" } as const

export const FONT = 'Inter, "Segoe UI", system-ui, sans-serif'

/** One Vega-Lite configuration for all charts. */
export const THEME: Config = {
  font: FONT,
  padding: 4,
  view: { stroke: null, continuousHeight: 240 },
  axis: {
    labelFontSize: 12,
    titleFontSize: 12,
    titleFontWeight: 500,
    labelColor: INK.text,
    titleColor: INK.text,
    domainColor: INK.text,
    domainOpacity: 0.4,
    tickColor: INK.text,
    tickOpacity: 0.4,
    gridColor: INK.text,
    gridOpacity: 0.12,
    labelLimit: 150,
  },
  header: { labelFontSize: 12, labelFontWeight: 600, labelColor: INK.text, titleColor: INK.text },
  legend: {
    orient: 'top',
    direction: 'horizontal',
    labelFontSize: 12,
    titleFontSize: 12,
    titleFontWeight: 500,
    labelColor: INK.text,
    titleColor: INK.text,
    symbolSize: 80,
  },
  text: { color: INK.text, fontSize: 12 },
  rule: { color: INK.text },
  point: { size: 50, filled: true, opacity: 0.9 },
  line: { strokeWidth: 2 },
}
