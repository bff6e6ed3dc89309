import { CannotEstimate, type Maybe } from './shared.ts'

/** Observations in (left, right], or exactly at left where left = right, after missing ones were dropped. */
export interface CensoringIntervals {
  readonly left: Float64Array
  readonly right: Float64Array
  /** Row of the input that each came from. */
  readonly row: Int32Array
  readonly dropped: number
}

/** Turnbull's innermost intervals: the only places where a maximum-likelihood estimate can hold mass. */
export interface InnermostIntervals {
  readonly left: Float64Array
  readonly right: Float64Array
  /** 1 where the interval is a single exact time. */
  readonly exact: Uint8Array
  /** Each observation covers the innermost intervals from first to last, both included. */
  readonly first: Int32Array
  readonly last: Int32Array
}

/**
 * Reads interval-censored observations: `right` null or infinite is right-censored; `left` 0 (or -Infinity) is left-censored;
 * left = right is an exact time. A row with left missing, or either NaN, is dropped and counted.
 */
export function censoringIntervals(
  statistic: string,
  left: ArrayLike<Maybe>,
  right: ArrayLike<Maybe>,
): CensoringIntervals {
  if (left.length !== right.length)
    throw new CannotEstimate(statistic, 'as many right ends as left', `${right.length} and ${left.length}`)
  const lefts: number[] = []
  const rights: number[] = []
  const rows: number[] = []
  for (let row = 0; row < left.length; row++) {
    const from = left[row]
    const to = right[row] ?? Infinity
    if (from === null || from === undefined || Number.isNaN(from) || Number.isNaN(to)) continue
    if (from > to || from === Infinity || to === -Infinity)
      throw new CannotEstimate(statistic, 'left at most right', `left ${from}, right ${to}`)
    lefts.push(from)
    rights.push(to)
    rows.push(row)
  }
  return {
    left: Float64Array.from(lefts),
    right: Float64Array.from(rights),
    row: Int32Array.from(rows),
    dropped: left.length - rows.length,
  }
}

/** Observations by the rank of their ends, so that the order is found once for many samples of them. */
export interface PlacedIntervals {
  /** All ends, each once, in order. */
  readonly levels: Float64Array
  /** Places on the line: 2r + 1 is just before level r, 2r + 2 is level r itself and, for open left ends, just after it. */
  readonly opens: Int32Array
  readonly closes: Int32Array
}

/** Ranks the ends of observations, in O(n log n). */
export function placeIntervals(left: Float64Array, right: Float64Array): PlacedIntervals {
  const levels = distinctSorted(left, right)
  return {
    levels,
    opens: Int32Array.from(left, (from, i) => 2 * rankOf(levels, from) + (from === right[i] ? 1 : 2)),
    closes: Int32Array.from(right, (to) => 2 * rankOf(levels, to) + 2),
  }
}

/** Finds the innermost intervals of the observations in `rows`, and what each of them covers. */
export function innermostOf(
  { levels, opens, closes }: PlacedIntervals,
  rows: Int32Array,
): InnermostIntervals {
  const hasOpen = new Uint8Array(2 * levels.length + 2)
  const hasClose = new Uint8Array(2 * levels.length + 2)
  const ownOpens = rows.map((row) => opens[row]!)
  const ownCloses = rows.map((row) => closes[row]!)
  for (const place of ownOpens) hasOpen[place] = 1
  for (const place of ownCloses) hasClose[place] = 1
  const from: number[] = []
  const to: number[] = []
  let open = -1
  for (let place = 0; place < hasOpen.length; place++) {
    // At one place a right end, closed, comes before an open left end.
    if (hasClose[place] === 1 && open >= 0) {
      from.push(open)
      to.push(place)
      open = -1
    }
    if (hasOpen[place] === 1) open = place
  }
  return describe(levels, from, to, ownOpens, ownCloses)
}

/** Finds the innermost intervals and what each observation covers, in O(n log n). */
export const innermostIntervals = (left: Float64Array, right: Float64Array): InnermostIntervals =>
  innermostOf(
    placeIntervals(left, right),
    Int32Array.from(left, (_, i) => i),
  )

function describe(
  levels: Float64Array,
  from: readonly number[],
  to: readonly number[],
  opens: Int32Array,
  closes: Int32Array,
): InnermostIntervals {
  // firstFrom[p]: the first innermost interval that starts at p or later; lastTo[p]: the last that ends at p or earlier.
  const places = 2 * levels.length + 2
  const firstFrom = new Int32Array(places)
  const lastTo = new Int32Array(places)
  let next = 0
  let before = -1
  for (let place = 0; place < places; place++) {
    while (next < from.length && from[next]! < place) next++
    firstFrom[place] = next
    while (before + 1 < to.length && to[before + 1]! <= place) before++
    lastTo[place] = before
  }
  return {
    left: Float64Array.from(from, (place) => levels[(place - 1) >> 1]!),
    right: Float64Array.from(to, (place) => levels[(place - 1) >> 1]!),
    exact: Uint8Array.from(from, (place) => place & 1),
    first: opens.map((place) => firstFrom[place]!),
    last: closes.map((place) => lastTo[place]!),
  }
}

function distinctSorted(left: Float64Array, right: Float64Array): Float64Array {
  const all = new Float64Array(left.length + right.length)
  all.set(left)
  all.set(right, left.length)
  all.sort()
  let count = 0
  for (let i = 0; i < all.length; i++) if (i === 0 || all[i]! !== all[count - 1]!) all[count++] = all[i]!
  return all.slice(0, count)
}

function rankOf(levels: Float64Array, value: number): number {
  let low = 0
  let high = levels.length - 1
  while (low < high) {
    const middle = (low + high) >> 1
    if (levels[middle]! < value) low = middle + 1
    else high = middle
  }
  return low
}
