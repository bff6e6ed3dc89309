import { type Day, type Reaction, type Side, type Target, targetName } from '../records/index.ts'
import { type Chart, chart } from './chart.ts'
import { INK, SIDE_DASHES, SIDE_SCALE } from './theme.ts'
import { count, dayWords, rounded, utc, words } from './words.ts'

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

/** Everything about one client on one time axis: programme lines, device level, scores, reactions. */
export function clientTimelineChart(data: ClientTimelineData): Chart {
  const lanes = data.lines.map((l) => ({
    lane: `${targetName(l.target)}, ${l.side}`,
    side: l.side,
    from: utc(l.from),
    to: utc(l.to + 1),
    dose: l.dose,
    when: `${dayWords(l.from)} to ${dayWords(l.to)}`,
  }))
  const scores = data.scores.map((s) => ({
    series: `${targetName(s.reflex)}, ${s.side}`,
    side: s.side,
    date: utc(s.day),
    when: dayWords(s.day),
    severity: s.severity,
  }))
  const levels = data.intensities.map((i) => ({
    date: utc(i.day),
    when: dayWords(i.day),
    intensity: i.intensity,
  }))
  const reactions = data.reactions.map((r) => ({
    date: utc(r.day),
    when: dayWords(r.day),
    reaction: words(r.reaction),
  }))
  const times = [
    ...lanes.flatMap((l) => [l.from, l.to]),
    ...[...scores, ...levels, ...reactions].map((r) => r.date),
  ]
  const domain = times.length ? [Math.min(...times), Math.max(...times)] : [0, 1]
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
      detail: `${s.series}: severity ${rounded(s.severity)}`,
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
    title: `${count(lanes.length, 'programme line')}, ${count(scores.length, 'score')} and ${count(reactions.length, 'reaction')} on one axis`,
    subtitle: times.length
      ? `${dayWords(Math.floor(domain[0]! / 86_400_000))} to ${dayWords(Math.floor(domain[1]! / 86_400_000))}`
      : 'nothing recorded',
    description: `Timeline of one client. Programme lines: ${lanes.map((l) => `${l.lane}, ${l.when}`).join('; ') || 'none'}. Reactions: ${reactions.map((r) => `${r.reaction} on ${r.when}`).join('; ') || 'none noted'}.`,
    reading: 'What stands above another happened at the same time. Nearness in time is no cause.',
    table: {
      columns: [
        { field: 'when', label: 'When' },
        { field: 'what', label: 'What' },
        { field: 'detail', label: 'Detail' },
      ],
      rows,
    },
    build: (width) => {
      const inner = width - (width < 400 ? 110 : 170)
      const x = (title: string | null, field = 'date'): object => ({
        field,
        type: 'temporal',
        scale: { type: 'utc' },
        axis: { title, format: '%b %y', tickCount: width < 400 ? 3 : 7 },
      })
      const labelLimit = width < 400 ? 100 : 160
      return {
        autosize: { type: 'pad' },
        resolve: { scale: { x: 'shared' } },
        vconcat: [
          ...(lanes.length
            ? [
                {
                  width: inner,
                  height: { step: 18 },
                  data: { values: lanes },
                  mark: { type: 'bar', height: 10, cornerRadius: 3 },
                  encoding: {
                    y: { field: 'lane', type: 'nominal', axis: { title: null, labelLimit } },
                    x: x(null, 'from'),
                    x2: { field: 'to' },
                    color: { field: 'side', type: 'nominal', scale: SIDE_SCALE, legend: { title: null } },
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
                  mark: { type: 'line', point: { size: 40 } },
                  encoding: {
                    x: x(null),
                    y: {
                      field: 'severity',
                      type: 'quantitative',
                      scale: { domain: [0, 1] },
                      axis: { title: 'Severity', tickCount: 3 },
                    },
                    detail: { field: 'series' },
                    color: { field: 'side', type: 'nominal', scale: SIDE_SCALE, legend: { title: null } },
                    strokeDash: {
                      field: 'side',
                      type: 'nominal',
                      scale: SIDE_DASHES,
                      legend: { title: null },
                    },
                    tooltip: [
                      { field: 'series', title: 'Series' },
                      { field: 'when', title: 'Day' },
                      { field: 'severity', title: 'Severity', format: '.2f' },
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
                  mark: { type: 'line', interpolate: 'step-after', color: INK.quiet, point: { size: 30 } },
                  encoding: {
                    x: x(null),
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
                    x: x(null),
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
