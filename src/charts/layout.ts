type Json = Readonly<Record<string, unknown>>

/** Below so many pixels a chart is laid out for a phone: `NARROW` is, `WIDE` is not. */
const DESK = 400
export const isNarrow = (width: number): boolean => width < DESK

/** Vega expressions that break a label in two where its second part begins. */
const TWO_LINES = {
  ', ': "split(datum.label, ', ')",
  ' (': "[split(datum.label, ' (')[0], '(' + split(datum.label, ' (')[1]]",
} as const

/**
 * The vertical channel of a chart with one row a label, in the order of the data where `sort` says no other. On a phone a
 * long label breaks in two rather than be cut off.
 */
export const labelRows = (
  width: number,
  breakAt: keyof typeof TWO_LINES,
  sort: Json | null = null,
): Json => ({
  field: 'label',
  type: 'nominal',
  sort,
  axis: {
    title: null,
    labelLimit: 190,
    ...(isNarrow(width) ? { labelExpr: TWO_LINES[breakAt], labelOffset: -6 } : {}),
  },
})
