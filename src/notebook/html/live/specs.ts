import type { VegaSpec } from '../../draw.ts'
import { packedBlock } from './pack.ts'

/** A chart's compiled specifications, for a desk and for a phone. */
export interface LiveChart {
  readonly wide: VegaSpec
  readonly narrow: VegaSpec
}

type Node = Readonly<Record<string, unknown>>

const isNode = (x: unknown): x is Node => typeof x === 'object' && x !== null && !Array.isArray(x)

/** The signal that holds the span of time chosen on the page: two times, or null for all. */
const SPAN_SIGNAL = 'waneline_span'

/** Whether a scale lays out calendar time from left to right. */
const isTimeScale = (scale: unknown): boolean =>
  isNode(scale) && scale.type === 'utc' && typeof scale.name === 'string' && /(?:^|_)x$/.test(scale.name)

const MOST_DAYS_OF_A_SHORT_SPAN = 200

/** An axis of months says days where the span is short. */
const dayAxis = (axis: unknown, times: ReadonlySet<unknown>): unknown =>
  isNode(axis) && times.has(axis.scale) && typeof axis.format === 'string'
    ? {
        ...axis,
        format: {
          signal: `${SPAN_SIGNAL} && ${SPAN_SIGNAL}[1] - ${SPAN_SIGNAL}[0] < ${MOST_DAYS_OF_A_SHORT_SPAN * 86_400_000} ? '%-d %b' : ${JSON.stringify(axis.format)}`,
        },
      }
    : axis

const timeScaleNames = (node: unknown): unknown[] =>
  Array.isArray(node)
    ? node.flatMap(timeScaleNames)
    : isNode(node)
      ? [
          ...(Array.isArray(node.scales) ? node.scales.filter(isTimeScale).map((s: Node) => s.name) : []),
          ...timeScaleNames(node.marks),
        ]
      : []

const follows = (node: unknown, times: ReadonlySet<unknown>): unknown => {
  if (Array.isArray(node)) return node.map((n) => follows(n, times))
  if (!isNode(node)) return node
  const marks = 'marks' in node ? { marks: follows(node.marks, times) } : {}
  const scales = Array.isArray(node.scales)
    ? { scales: node.scales.map((s) => (isTimeScale(s) ? { ...s, domainRaw: { signal: SPAN_SIGNAL } } : s)) }
    : {}
  const axes = Array.isArray(node.axes) ? { axes: node.axes.map((a) => dayAxis(a, times)) } : {}
  const clip =
    'type' in node && node.type !== 'group' && 'encode' in node && node.clip !== true
      ? { clip: { signal: `!!${SPAN_SIGNAL}` } }
      : {}
  return { ...node, ...marks, ...scales, ...axes, ...clip }
}

/** A specification whose calendar axis follows the span; the specification itself where it has none. */
function followingSpan(spec: VegaSpec): { readonly spec: VegaSpec; readonly time: boolean } {
  const times = new Set(timeScaleNames(spec))
  if (times.size === 0) return { spec, time: false }
  const followed = follows(spec, times) as Record<string, unknown>
  const signals = Array.isArray(followed.signals) ? followed.signals : []
  return {
    spec: { ...followed, signals: [...signals, { name: SPAN_SIGNAL, value: null }] } as VegaSpec,
    time: true,
  }
}

/**
 * The specifications of all live charts of a page as one block. Rows that several hold (both layouts of a chart do) stand
 * in it once.
 */
export function specsBlock(charts: ReadonlyMap<string, LiveChart>): string {
  const pool = new Map<string, number>()
  const share = (spec: VegaSpec): object => ({
    ...spec,
    data: (spec.data ?? []).map((d) => {
      if (!('values' in d) || !Array.isArray(d.values)) return d
      const key = JSON.stringify(d.values)
      const at = pool.get(key) ?? pool.size
      pool.set(key, at)
      const { values, ...rest } = d
      return { ...rest, pooled: at }
    }),
  })
  const shared = [...charts].map(([id, { wide, narrow }]) => {
    const parts = { wide: followingSpan(wide), narrow: followingSpan(narrow) }
    return [
      id,
      { time: parts.wide.time, wide: share(parts.wide.spec), narrow: share(parts.narrow.spec) },
    ] as const
  })
  const time = shared.filter(([, c]) => c.time).map(([id]) => id)
  return packedBlock(
    'specs',
    `{"rows":[${[...pool.keys()].join(',')}],"charts":${JSON.stringify(Object.fromEntries(shared))}}`,
    ` data-time="${time.join(' ')}"`,
  )
}
