import { type Day, type Reaction, type Side, type Target, targetName } from '../records/index.ts'
import { type Chart, chart } from './chart.ts'
import { isNarrow } from './layout.ts'
import { INK, PERCENT_LABELS, SIDE_SCALE, sideLines } from './theme.ts'
import { BY_CALENDAR, type Clock, count, percent, rounded, words } from './words.ts'

export interface ClientTimelineData {
  readonly lines: readonly {
    readonly target: Target
    readonly side: Side
    readonly from: Day
    /** Last day of the line, or of what was watched where it still runs. */
    readonly to: Day
    /** What was prescribed, in words. */
    readonly dose: string
  }[]
  readonly intensities: readonly { readonly day: Day; readonly intensity: number }[]
  readonly scores: readonly {
    readonly reflex: Target
    readonly side: Side
    readonly day: Day
    readonly severity: number
  }[]
  readonly reactions: readonly { readonly day: Day; readonly reaction: Reaction }[]
}

const SIGNS = [
  'circle',
  'square',
  'triangle-up',
  'diamond',
  'cross',
  'triangle-down',
  'triangle-right',
  'triangle-left',
]

/** How many series are lower at their last score than at their first, beside what ran and what was noted meanwhile. */
function timelineTitle(
  scores: readonly { readonly series: string; readonly date: number; readonly severity: number }[],
  lines: number,
  reactions: number,
): string {
  const meanwhile = `${count(lines, 'programme line')} and ${count(reactions, 'reaction')} meanwhile`
  const bySeries = new Map<string, number[]>()
  for (const { series, severity } of scores.toSorted((a, b) => a.date - b.date))
    bySeries.set(series, [...(bySeries.get(series) ?? []), severity])
  const twice = [...bySeries.values()].filter((all) => all.length > 1)
  const lower = twice.filter((all) => all.at(-1)! < all[0]!).length
  return twice.length
    ? `Scores lower than at first in ${lower} of ${twice.length} series; ${meanwhile}`
    : `No series scored twice; ${meanwhile}`
}

/** Signs by reflex, with a key: two lines of one side have one colour and one dash. */
function byShape(scores: readonly { readonly reflex: string }[], columns: number): object {
  const reflexes = [...new Set(scores.map((s) => s.reflex))]
  const ink = { symbolFillColor: INK.text, symbolStrokeColor: INK.text, symbolOpacity: 1 }
  return reflexes.length > 1
    ? {
        shape: {
          field: 'reflex',
          type: 'nominal',
          scale: { domain: reflexes, range: SIGNS },
          legend: { title: null, orient: 'bottom', columns, ...ink },
        },
      }
    : {}
}

/** Everything about one client on one time axis: programme lines, device level, scores, reactions. */
export function clientTimelineChart(data: ClientTimelineData, clock: Clock = BY_CALENDAR): Chart {
  const lanes = data.lines.map((l) => ({
    lane: `${targetName(l.target)}, ${l.side}`,
    side: l.side,
    from: clock.value(l.from),
    to: clock.value(l.to + 1),
    dose: l.dose,
    when: `${clock.words(l.from)} to ${clock.words(l.to)}`,
  }))
  const scores = data.scores.map((s) => ({
    series: `${targetName(s.reflex)}, ${s.side}`,
    reflex: targetName(s.reflex),
    side: s.side,
    date: clock.value(s.day),
    when: clock.words(s.day),
    severity: s.severity,
  }))
  const levels = data.intensities.map((i) => ({
    date: clock.value(i.day),
    when: clock.words(i.day),
    intensity: i.intensity,
  }))
  const reactions = data.reactions.map((r) => ({
    date: clock.value(r.day),
    when: clock.words(r.day),
    reaction: words(r.reaction),
  }))
  const days = [
    ...data.lines.flatMap((l) => [l.from, l.to]),
    ...[...data.scores, ...data.intensities, ...data.reactions].map((r) => r.day),
  ]
  const rows = [
    ...lanes.map((l) => ({
      from: l.from,
      what: 'programme line',
      when: l.when,
      detail: `${l.lane}: ${l.dose}`,
    })),
    ...scores.map((s) => ({
      from: s.date,
      what: 'score',
      when: s.when,
      detail: `${s.series}: severity ${percent(s.severity)}`,
    })),
    ...levels.map((l) => ({
      from: l.date,
      what: 'device level',
      when: l.when,
      detail: rounded(l.intensity, 1),
    })),
    ...reactions.map((r) => ({ from: r.date, what: 'reaction', when: r.when, detail: r.reaction })),
  ]
    .toSorted((a, b) => a.from - b.from)
    .map(({ what, when, detail }) => ({ what, when, detail }))
  return chart({
    title: timelineTitle(scores, lanes.length, reactions.length),
    subtitle: days.length
      ? `${clock.words(Math.min(...days))} to ${clock.words(Math.max(...days))}`
      : 'nothing recorded',
    description: `Timeline of one client. Programme lines: ${lanes.map((l) => `${l.lane}, ${l.when}`).join('; ') || 'none'}. Reactions: ${reactions.map((r) => `${r.reaction} on ${r.when}`).join('; ') || 'none noted'}.`,
    shows: 'Programme, intensities, scores and reactions of one client on one axis of time.',
    reading: 'What stands above another happened at the same time.',
    limits: 'It cannot show a cause: nearness in time is none.',
    table: {
      columns: [
        { field: 'when', label: 'When' },
        { field: 'what', label: 'What' },
        { field: 'detail', label: 'Detail' },
      ],
      rows,
    },
    build: (width) => {
      const inner = width - 130
      const time = clock.channel(isNarrow(width) ? 3 : 7)
      const lowest = reactions.length
        ? 'reactions'
        : levels.length
          ? 'levels'
          : scores.length
            ? 'scores'
            : 'lines'
      // One axis for all: only the lowest panel says the days.
      const x = (panel: string, field = 'date'): object => ({
        field,
        ...time,
        axis: { ...Object(time.axis), ...(panel === lowest ? {} : { labels: false, title: null }) },
      })
      const labelLimit = 125
      return {
        autosize: { type: 'pad' },
        resolve: {
          scale: { x: 'shared', color: 'independent', strokeDash: 'independent', shape: 'independent' },
        },
        vconcat: [
          ...(lanes.length
            ? [
                {
                  width: inner,
                  height: { step: 32 },
                  data: { values: lanes },
                  mark: { type: 'bar', height: 10, cornerRadius: 3 },
                  encoding: {
                    y: {
                      field: 'lane',
                      type: 'nominal',
                      axis: {
                        title: null,
                        labelLimit,
                        labelExpr: "split(datum.label, ', ')",
                        labelOffset: -6,
                      },
                    },
                    x: x('lines', 'from'),
                    x2: { field: 'to' },
                    color: { field: 'side', type: 'nominal', scale: SIDE_SCALE, legend: null },
                    tooltip: [
                      { field: 'lane', title: 'Line' },
                      { field: 'when', title: 'When' },
                      { field: 'dose', title: 'Prescribed' },
                    ],
                    description: { field: 'lane' },
                  },
                },
              ]
            : []),
          ...(scores.length
            ? [
                {
                  width: inner,
                  height: 150,
                  data: { values: scores },
                  mark: { type: 'line', point: { size: 60 } },
                  encoding: {
                    x: x('scores'),
                    y: {
                      field: 'severity',
                      type: 'quantitative',
                      scale: { domain: [0, 1] },
                      axis: { title: 'Severity', ...PERCENT_LABELS, values: [0, 0.5, 1] },
                    },
                    detail: { field: 'series' },
                    ...sideLines(scores),
                    ...byShape(scores, isNarrow(width) ? 1 : 3),
                    tooltip: [
                      { field: 'series', title: 'Series' },
                      { field: 'when', title: 'Day' },
                      { field: 'severity', title: 'Severity', format: '.0%' },
                    ],
                    description: { field: 'series' },
                  },
                },
              ]
            : []),
          ...(levels.length
            ? [
                {
                  width: inner,
                  height: 60,
                  data: { values: levels },
                  mark: {
                    type: 'line',
                    interpolate: 'step-after',
                    color: INK.quiet,
                    point: { size: 30, color: INK.quiet },
                  },
                  encoding: {
                    x: x('levels'),
                    y: {
                      field: 'intensity',
                      type: 'quantitative',
                      axis: { title: 'Device level', tickCount: 3 },
                    },
                  },
                },
              ]
            : []),
          ...(reactions.length
            ? [
                {
                  width: inner,
                  height: { step: 18 },
                  data: { values: reactions },
                  mark: { type: 'point', shape: 'diamond', size: 80, color: INK.caution },
                  encoding: {
                    x: x('reactions'),
                    y: { field: 'reaction', type: 'nominal', axis: { title: null, labelLimit } },
                    tooltip: [
                      { field: 'reaction', title: 'Reaction' },
                      { field: 'when', title: 'Day' },
                    ],
                    description: { field: 'when' },
                  },
                },
              ]
            : []),
        ],
      }
    },
  })
}
