type Tolerance = { readonly rel?: number; readonly abs?: number }
export interface CaseTolerance extends Tolerance {
  readonly keys?: Readonly<Record<string, Tolerance>>
}

/** Where found differs from expected by more than the tolerance of its top-level name; empty if nowhere. */
export function disagreements(
  expected: Readonly<Record<string, unknown>>,
  found: Readonly<Record<string, unknown>>,
  tolerance: CaseTolerance,
): string[] {
  return Object.entries(expected).flatMap(([name, value]) => {
    const keys = Object.keys(tolerance.keys ?? {}).filter((key) => name.startsWith(key))
    const longest = keys.sort((a, b) => b.length - a.length)[0]
    const bound = longest === undefined ? tolerance : tolerance.keys![longest]!
    return differences(name, value, found[name], bound)
  })
}

function differences(place: string, expected: unknown, found: unknown, bound: Tolerance): string[] {
  if (Array.isArray(expected)) {
    if (!Array.isArray(found) || found.length !== expected.length)
      return [`${place}: not ${expected.length} values`]
    return expected.flatMap((value, i) => differences(`${place}[${i}]`, value, found[i], bound))
  }
  if (typeof expected === 'object' && expected !== null)
    return Object.entries(expected).flatMap(([name, value]) =>
      differences(`${place}.${name}`, value, (found as Record<string, unknown> | undefined)?.[name], bound),
    )
  if (expected === null)
    return found === null || Number.isNaN(found) ? [] : [`${place}: not undefined but ${found}`]
  const wanted = Number(expected)
  if (typeof found === 'number' && (found === wanted || Math.abs(found - wanted) <= reach(bound, wanted)))
    return []
  return [`${place}: ${found} instead of ${wanted}`]
}

const reach = (bound: Tolerance, wanted: number) =>
  Math.max(bound.abs ?? 0, (bound.rel ?? 0) * Math.abs(wanted))
