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

export const SIDE_SCALE = {
  domain: ['left', 'right', 'midline'],
  range: [INK.left, INK.right, INK.midline],
} as const
export const SIDE_SHAPES = {
  domain: ['left', 'right', 'midline'],
  range: ['circle', 'square', 'diamond'],
} as const
export const SIDE_DASHES = {
  domain: ['left', 'right', 'midline'],
  range: [
    [1, 0],
    [6, 3],
    [2, 2],
  ],
} as const

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
  point: { size: 50, filled: true },
  line: { strokeWidth: 2 },
}
