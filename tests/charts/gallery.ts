import type { Chart } from '../../src/charts/index.ts'
import * as charts from '../../src/charts/index.ts'
import type { Reflex, Side } from '../../src/records/index.ts'

/** One of each chart on small invented data, and one of each on none: for the tests, and to look at. */
const START = 20_400
const REFLEXES: readonly Reflex[] = ['moro', 'palmar_grasp', 'spinal_galant', 'asymmetric_tonic_neck']
const TWO_SIDES: readonly Side[] = ['left', 'right']
const wave = (i: number): number => ((i * 37) % 17) / 17

const occasions = REFLEXES.flatMap((reflex, r) =>
  TWO_SIDES.flatMap((side, s) =>
    Array.from({ length: 8 }, (_, c) =>
      [0, 1.4, 2.8, 4.2].map((months, m) => ({
        client_id: `SM-${c}`,
        reflex,
        side,
        months,
        severity: Math.max(0, Math.round(4 * (0.9 - m * 0.15 - 0.2 * wave(c + r + s))) / 4),
      })),
    ).flat(),
  ),
)

const curve = (reflex: Reflex, k: number) => ({
  reflex,
  n: 20 + k,
  integrated: 8,
  until: 240,
  medianDays: k % 2 ? null : 130,
  steps: [
    { from: 40, to: 70, before: 1, after: 0.85 },
    { from: 90, to: 90, before: 0.85, after: 0.7 },
    { from: 120, to: 150, before: 0.7, after: 0.45 },
  ],
})

export const GALLERY: Readonly<Record<string, Chart>> = {
  'adherence-by-week': charts.adherenceByWeekChart(
    Array.from({ length: 20 }, (_, i) => ({
      monday: START + 4 + 7 * i,
      lines: 10 + i,
      doseFraction: { asLogged: 0.45 + 0.2 * wave(i), loggedDaysOnly: 0.6 + 0.3 * wave(i) },
    })),
  ),
  'adherence-calendar': charts.adherenceCalendarChart(
    Array.from({ length: 140 }, (_, i) => ({
      day: START + i,
      dose: i > 130 ? null : Math.round(4 * wave(i)) / 4,
      logged: i % 9 !== 0,
    })),
  ),
  agreement: charts.agreementChart({
    pairs: Array.from({ length: 60 }, (_, i) => ({
      first: Math.round(4 * wave(i)) / 4,
      second: Math.min(
        1,
        Math.max(0, Math.round(4 * wave(i) + (i % 5 === 0 ? 1 : i % 7 === 0 ? -1 : 0)) / 4),
      ),
    })),
    bias: -0.02,
    lowerLimit: -0.31,
    upperLimit: 0.27,
    kappa: { estimate: 0.81, lower: 0.7, upper: 0.92 },
  }),
  'before-and-after': charts.beforeAndAfterChart(
    REFLEXES.map((reflex, i) => ({
      reflex,
      n: 12 + i,
      hedgesG: -0.9 + 0.4 * i,
      lower: -1.4 + 0.4 * i,
      upper: -0.4 + 0.45 * i,
    })),
    { horizon: '12 weeks (9 to 15) after the start' },
  ),
  'client-timeline': charts.clientTimelineChart({
    lines: [
      { target: 'palmar_grasp', side: 'left', from: START, to: START + 80, dose: '3 a day, 20 repetitions' },
      {
        target: 'palmar_grasp',
        side: 'right',
        from: START,
        to: START + 150,
        dose: '3 a day, 10 repetitions',
      },
      { target: 'ear_stimulation', side: 'left', from: START + 14, to: START + 150, dose: '1 a day, 60 s' },
    ],
    intensities: [1, 2, 2, 3].map((intensity, i) => ({ day: START + 14 + 30 * i, intensity })),
    scores: REFLEXES.flatMap((reflex, r) =>
      TWO_SIDES.flatMap((side, s) =>
        [0, 1, 2, 3].map((i) => ({
          reflex,
          side,
          day: START - 5 + 45 * i,
          severity: 0.9 - 0.2 * i - 0.1 * s + 0.03 * r,
        })),
      ),
    ),
    reactions: [
      { day: START + 33, reaction: 'skin' },
      { day: START + 71, reaction: 'distress' },
    ],
  }),
  course: charts.courseChart({
    reflex: 'moro',
    side: 'midline',
    scaleMax: 4,
    status: 'fading',
    occasions: [4, 3.5, 3, 2, 1].map((score, i) => ({ day: START + 42 * i, score })),
    band: Array.from({ length: 9 }, (_, i) => ({
      day: START + 21 * i,
      fit: 3.9 - 0.3 * i,
      lower: 3.3 - 0.3 * i,
      upper: 4 - 0.2 * i,
    })),
    programmeStart: START + 44,
    pastUsualAgeFrom: START + 90,
  }),
  courses: charts.coursesChart({
    occasions,
    mean: [0, 1, 2, 3, 4].map((months) => ({
      months,
      fit: 0.8 - 0.1 * months,
      lower: 0.72 - 0.1 * months,
      upper: 0.88 - 0.1 * months,
    })),
  }),
  'delivered-against-prescribed': charts.deliveredAgainstPrescribedChart(
    REFLEXES.slice(1).flatMap((target) =>
      TWO_SIDES.map((side, s) => ({
        target,
        side,
        unit: 'repetitions' as const,
        prescribed: side === 'left' ? 1200 : 600,
        delivered: side === 'left' ? 860 : 640 - 40 * s,
      })),
    ),
  ),
  'dose-and-response': charts.doseAndResponseChart(
    Array.from({ length: 90 }, (_, i) => ({
      client_id: `SM-${i % 20}`,
      dose: wave(i),
      change: -0.1 * wave(i) + 0.1 * (wave(i * 3) - 0.5),
    })),
    [
      {
        part: 'within a client',
        slope: -0.09,
        lower: -0.15,
        upper: -0.03,
        from: { dose: 0.1, change: -0.01 },
        to: { dose: 0.9, change: -0.08 },
      },
      {
        part: 'between clients',
        slope: -0.04,
        lower: -0.12,
        upper: 0.04,
        from: { dose: 0.2, change: -0.03 },
        to: { dose: 0.8, change: -0.05 },
      },
    ],
  ),
  flow: charts.flowChart([
    { stage: 'enrolled', clients: 62, left: [] },
    { stage: 'with a programme', clients: 57, left: [{ reason: 'no programme line', count: 5 }] },
    { stage: 'with a baseline', clients: 50, left: [{ reason: 'no score within 60 days', count: 7 }] },
    { stage: 'analysed', clients: 41, left: [{ reason: 'no follow-up', count: 9 }] },
  ]),
  funnel: charts.funnelChart(
    [
      { name: 'A.V.', n: 12, share: 0.5 },
      { name: 'L.B.', n: 8, share: 0.62 },
      { name: 'J.P.', n: 21, share: 0.38 },
    ],
    [8, 12, 21].flatMap((n) =>
      [0.95, 0.998].map((level) => ({
        n,
        level,
        lower: Math.max(0, 0.48 - (level > 0.99 ? 1.5 : 1) / Math.sqrt(n)),
        upper: Math.min(1, 0.48 + (level > 0.99 ? 1.5 : 1) / Math.sqrt(n)),
      })),
    ),
    { overall: 0.48, by: 'clinician' },
  ),
  'left-against-right': charts.leftAgainstRightChart(
    REFLEXES.slice(1, 3).flatMap((reflex) =>
      [0, 1, 2, 3].map((i) => ({
        reflex,
        day: START + 45 * i,
        left: 1 - 0.2 * i,
        right: i === 2 ? null : 0.75 - 0.25 * i,
      })),
    ),
  ),
  'reactions-by-stimulus': charts.reactionsByStimulusChart([
    { stimulus: 'brush', asked: 4200, reactions: 9, rate: 2.1, lower: 1, upper: 4.1 },
    { stimulus: 'electrical', asked: 230, reactions: 3, rate: 13, lower: 2.7, upper: 38.1 },
    { stimulus: 'touch', asked: 0, reactions: 0, rate: null, lower: null, upper: null },
  ]),
  'start-to-latest': charts.startToLatestChart(
    occasions
      .filter((o) => o.months === 0)
      .map((o, i) => ({
        client_id: o.client_id,
        reflex: o.reflex,
        baseline: o.severity,
        latest: Math.min(1, Math.max(0, o.severity - (i % 4) / 4 + (i % 7 === 0 ? 0.25 : 0))),
      })),
  ),
  'status-by-reflex': charts.statusByReflexChart(
    REFLEXES.flatMap((reflex, i) =>
      (
        [
          ['integrated', 3 + i],
          ['fading', 9 - i],
          ['no reliable change', 6],
          ['rising', i],
        ] as const
      ).flatMap(([status, n]) => Array.from({ length: n }, () => ({ series: { reflex }, status }))),
    ),
  ),
  'time-to-integration': charts.timeToIntegrationChart(REFLEXES.map(curve)),
}

/** The same charts where there is nothing to draw: a page must still say so in words. */
export const EMPTY: Readonly<Record<string, Chart>> = {
  'adherence-by-week': charts.adherenceByWeekChart([]),
  'adherence-calendar': charts.adherenceCalendarChart([]),
  agreement: charts.agreementChart({
    pairs: [],
    bias: null,
    lowerLimit: null,
    upperLimit: null,
    kappa: null,
  }),
  'before-and-after': charts.beforeAndAfterChart([], { horizon: '12 weeks' }),
  'client-timeline': charts.clientTimelineChart({ lines: [], intensities: [], scores: [], reactions: [] }),
  course: charts.courseChart({
    reflex: 'moro',
    side: 'midline',
    scaleMax: 4,
    status: 'not enough scores',
    occasions: [],
  }),
  courses: charts.coursesChart({ occasions: [], mean: [] }),
  'delivered-against-prescribed': charts.deliveredAgainstPrescribedChart([]),
  'dose-and-response': charts.doseAndResponseChart([], []),
  flow: charts.flowChart([]),
  funnel: charts.funnelChart([], [], { overall: 0, by: 'site' }),
  'left-against-right': charts.leftAgainstRightChart([]),
  'reactions-by-stimulus': charts.reactionsByStimulusChart([]),
  'start-to-latest': charts.startToLatestChart([]),
  'status-by-reflex': charts.statusByReflexChart([]),
  'time-to-integration': charts.timeToIntegrationChart([]),
}
