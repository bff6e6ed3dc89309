import { CannotEstimate, isKnown, type Maybe } from '../shared.ts'

export const INTERCEPT = '(Intercept)'

export type Label = string | number | null | undefined

/** Columns of equal length, one row an observation. Typed arrays are read without copying what is complete. */
export interface MixedModelData {
  readonly y: ArrayLike<Maybe>
  /** Fixed-effects columns by name, the intercept apart. */
  readonly fixed: Readonly<Record<string, ArrayLike<Maybe>>>
  /** Group of each row (a series); an Int32Array of codes is fastest. Null, '' and negative numbers are missing. */
  readonly groups: ArrayLike<Label>
  /** Group of groups (a client), where there are two levels. A group label is its own within each outer group. */
  readonly outerGroups?: ArrayLike<Label>
  /** Columns that have a random slope but no fixed one. */
  readonly randomOnly?: Readonly<Record<string, ArrayLike<Maybe>>>
}

export interface CompleteRows {
  readonly y: Float64Array
  readonly fixed: readonly Float64Array[]
  readonly fixedNames: readonly string[]
  readonly randomOnly: Readonly<Record<string, Float64Array>>
  readonly codes: Int32Array
  readonly labels: readonly (string | number)[]
  readonly outerOf: Int32Array | null
  readonly outerLabels: readonly (string | number)[]
  readonly nDropped: number
}

const isLabel = (label: Label): label is string | number =>
  typeof label === 'number' ? label >= 0 : label !== null && label !== undefined && label !== ''

/** The rows in which everything is known, groups coded in order of first appearance. */
export function completeRows(statistic: string, data: MixedModelData, intercept: boolean): CompleteRows {
  const n = data.y.length
  const named = Object.entries(data.fixed)
  const extra = Object.entries(data.randomOnly ?? {})
  const columns = [data.y, ...named.map(([, c]) => c), ...extra.map(([, c]) => c)]
  for (const [name, length] of [
    ...[...named, ...extra].map(([name, c]) => [name, c.length] as const),
    ['groups', data.groups.length] as const,
    ['outerGroups', data.outerGroups?.length ?? n] as const,
  ])
    if (length !== n)
      throw new CannotEstimate(statistic, `as many values of ${name} as of y (${n})`, String(length))
  const keep = rowsKept(statistic, columns, data)
  const take = (column: ArrayLike<Maybe>): Float64Array => {
    if (keep.length === n)
      return column instanceof Float64Array ? column : Float64Array.from(column as ArrayLike<number>)
    const out = new Float64Array(keep.length)
    for (let i = 0; i < keep.length; i++) out[i] = column[keep[i]!]!
    return out
  }
  const coded = codeGroups(data, keep)
  return {
    y: take(data.y),
    fixed: [...(intercept ? [new Float64Array(keep.length).fill(1)] : []), ...named.map(([, c]) => take(c))],
    fixedNames: [...(intercept ? [INTERCEPT] : []), ...named.map(([name]) => name)],
    randomOnly: Object.fromEntries(extra.map(([name, c]) => [name, take(c)])),
    ...coded,
    nDropped: n - keep.length,
  }
}

function rowsKept(statistic: string, columns: readonly ArrayLike<Maybe>[], data: MixedModelData): Int32Array {
  const n = data.y.length
  const keep = new Int32Array(n)
  let kept = 0
  for (let i = 0; i < n; i++) {
    let whole = isLabel(data.groups[i]) && (data.outerGroups === undefined || isLabel(data.outerGroups[i]))
    for (let c = 0; whole && c < columns.length; c++) {
      const value = columns[c]![i]
      whole = isKnown(value)
      if (whole && !Number.isFinite(value))
        throw new CannotEstimate(statistic, 'finite values', String(value))
    }
    if (whole) keep[kept++] = i
  }
  return keep.subarray(0, kept)
}

function codeGroups(
  { groups, outerGroups }: MixedModelData,
  keep: Int32Array,
): Pick<CompleteRows, 'codes' | 'labels' | 'outerOf' | 'outerLabels'> {
  if (outerGroups === undefined) {
    const { codes, labels } = codesOf(groups, keep)
    return { codes, labels, outerOf: null, outerLabels: [] }
  }
  const outer = codesOf(outerGroups, keep)
  const inner = codesOf(groups, keep)
  // A label is a group of its own within each outer group.
  const codes = new Int32Array(keep.length)
  const byPair = new Map<number, number>()
  const labels: (string | number)[] = []
  const outerOf: number[] = []
  for (let i = 0; i < keep.length; i++) {
    const pair = outer.codes[i]! * inner.labels.length + inner.codes[i]!
    let code = byPair.get(pair)
    if (code === undefined) {
      code = labels.length
      byPair.set(pair, code)
      labels.push(inner.labels[inner.codes[i]!]!)
      outerOf.push(outer.codes[i]!)
    }
    codes[i] = code
  }
  return { codes, labels, outerOf: Int32Array.from(outerOf), outerLabels: outer.labels }
}

function codesOf(
  values: ArrayLike<Label>,
  keep: Int32Array,
): { readonly codes: Int32Array; readonly labels: (string | number)[] } {
  const codes = new Int32Array(keep.length)
  const labels: (string | number)[] = []
  if (values instanceof Int32Array) {
    let largest = 0
    for (const value of values) largest = Math.max(largest, value)
    // A table beside a hash map, unless the codes are few and far between.
    if (largest < 4 * values.length + 1000) {
      const seen = new Int32Array(largest + 1).fill(-1)
      for (let i = 0; i < keep.length; i++) {
        const value = values[keep[i]!]!
        if (seen[value] === -1) {
          seen[value] = labels.length
          labels.push(value)
        }
        codes[i] = seen[value]!
      }
      return { codes, labels }
    }
  }
  const seen = new Map<string | number, number>()
  for (let i = 0; i < keep.length; i++) {
    const label = values[keep[i]!] as string | number
    let code = seen.get(label)
    if (code === undefined) {
      code = labels.length
      seen.set(label, code)
      labels.push(label)
    }
    codes[i] = code
  }
  return { codes, labels }
}
