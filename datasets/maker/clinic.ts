import { type Day, parseDay, type Reflex, type Stimulus } from '../../src/records/index.ts'

/** Everything the invented clinic network is made from. Written beside the data, so that tests can ask for it back. */
export const PARAMETERS = {
  seed: 20260630,
  as_of: '2026-06-30',
  first_enrolment: '2025-10-01',
  last_enrolment: '2026-04-20',
  clients_per_site: { Heron: 26, Curlew: 20, Plover: 16 },
  /** Points of the 0 to 4 scale a month that a reflex loses anyway, and its spread between clients. */
  natural_slope_per_month: -0.05,
  natural_slope_sd: 0.02,
  /** Further points a month while the programme runs, at full adherence, and its spread between clients. */
  programme_slope_per_month: -0.42,
  programme_slope_sd: 0.1,
  /** Standard deviation of one rater's reading about the true severity, before rounding to whole points. */
  rater_sd: 0.38,
  /** Share of visits scored by two raters. */
  double_scoring_share: 0.22,
  /** Share of clients assessed twice before the programme starts. */
  waiting_share: 0.4,
  /** Days between visits. */
  visit_gap_days: [33, 47],
  /** A client's own chance of doing a prescribed session, drawn evenly from here. */
  adherence_range: [0.35, 0.97],
  /** At weekends the chance is multiplied by this. */
  weekend_factor: 0.85,
  /** Chance that a day on which something was done was also written down. */
  diary_kept_share: 0.95,
  /** Share of families whose log stops early and never comes back. */
  families_who_stop: 0.12,
} as const

export type SiteName = keyof typeof PARAMETERS.clients_per_site

export const AS_OF = parseDay(PARAMETERS.as_of) as Day
export const FIRST = parseDay(PARAMETERS.first_enrolment) as Day
export const LAST = parseDay(PARAMETERS.last_enrolment) as Day

/** Clinicians of each site, by initials, as the logs name them. */
export const CLINICIANS: Record<SiteName, readonly string[]> = {
  Heron: ['A.V.', 'L.B.', 'T.O.'],
  Curlew: ['J.P.', 'R.S.'],
  Plover: ['M.T.', 'E.W.'],
}

/** What each target is commonly worked on with in this invented network. */
export const STIMULUS_OF: Record<Reflex, Stimulus> = {
  asymmetric_tonic_neck: 'movement',
  babkin: 'touch',
  extensor_plantar: 'brush',
  moro: 'movement',
  palmar_grasp: 'brush',
  plantar_grasp: 'brush',
  rooting: 'touch',
  snout: 'touch',
  spinal_galant: 'brush',
  sucking: 'touch',
  symmetric_tonic_neck: 'movement',
  tonic_labyrinthine: 'movement',
}
