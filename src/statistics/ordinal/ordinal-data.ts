import { CannotEstimate, isKnown, type Maybe } from '../shared.ts'

export type Category = number | string | null | undefined

export interface OrdinalData {
  /** Ordered categories; numbers are ordered by size, texts by `levels`. */
  readonly category: ArrayLike<Category>
  /** Columns by name; there is no intercept, the thresholds stand for it. */
  readonly fixed: Readonly<Record<string, ArrayLike<Maybe>>>
}

export interface OrdinalRows {
  /** 0, 1, ... by group if there are groups. */
  readonly category: Int32Array
  readonly levels: readonly (number | string)[]
  readonly names: readonly string[]
  /** n x p by rows. */
  readonly design: Float64Array
  /** First row of each group and n at the end. */
  readonly groupStart: Int32Array
  readonly labels: readonly (number | string)[]
  readonly nDropped: number
}

const isThere = (value: Category): value is number | string =>
  typeof value === 'number' ? !Number.isNaN(value) : value !== null && value !== undefined && value !== ''

/** Complete rows, grouped in order of first appearance; without groups each row stands alone. */
export function ordinalRows(
  statistic: string,
  { category, fixed }: OrdinalData,
  groups: ArrayLike<Category> | null,
  levels: readonly (number | string)[] | undefined,
): OrdinalRows {
  const n = category.length
  const columns = Object.entries(fixed)
  for (const [name, length] of [
    ...columns.map(([name, c]) => [name, c.length] as const),
    ['groups', groups?.length ?? n] as const,
  ])
    if (length !== n)
      throw new CannotEstimate(
        statistic,
        `as many values of ${name} as of the category (${n})`,
        String(length),
      )
  const kept = new Map<number | string, number[]>()
  let nKept = 0
  for (let i = 0; i < n; i++) {
    const group = groups === null ? i : groups[i]
    if (!isThere(category[i]) || !isThere(group) || !columns.every(([, c]) => isKnown(c[i]))) continue
    const own = kept.get(group)
    if (own) own.push(i)
    else kept.set(group, [i])
    nKept++
  }
  const order = [...kept.values()].flat()
  const known = levelsOf(
    statistic,
    order.map((i) => category[i] as number | string),
    levels,
  )
  const p = columns.length
  const design = new Float64Array(nKept * p)
  order.forEach((i, row) => {
    columns.forEach(([name, c], j) => {
      const value = c[i]!
      if (!Number.isFinite(value))
        throw new CannotEstimate(statistic, `finite values of ${name}`, String(value))
      design[row * p + j] = value
    })
  })
  let at = 0
  const groupStart = Int32Array.from([0, ...[...kept.values()].map((own) => (at += own.length))])
  const place = new Map(known.map((level, k) => [level, k]))
  return {
    category: Int32Array.from(order, (i) => place.get(category[i] as number | string)!),
    levels: known,
    names: columns.map(([name]) => name),
    design,
    groupStart,
    labels: [...kept.keys()],
    nDropped: n - nKept,
  }
}

function levelsOf(
  statistic: string,
  present: readonly (number | string)[],
  levels: readonly (number | string)[] | undefined,
): (number | string)[] {
  const seen = new Set(present)
  if (levels !== undefined) {
    for (const value of seen)
      if (!levels.includes(value))
        throw new CannotEstimate(statistic, 'categories among the levels given', String(value))
  } else if ([...seen].some((value) => typeof value !== 'number'))
    throw new CannotEstimate(statistic, 'numbers, or the levels of texts in order', String(present[0]))
  // A level that nobody is in has no threshold of its own: it joins its neighbours, as in R's ordinal.
  const ordered =
    levels?.filter((level) => seen.has(level)) ?? [...seen].sort((a, b) => Number(a) - Number(b))
  if (ordered.length < 2)
    throw new CannotEstimate(statistic, 'two categories with observations', String(ordered.length))
  return [...ordered]
}
