#!/usr/bin/env node
// Invented caseload of the invented clinic network "Saltmarsh", at any size. Node only, no packages.
//
//   node make-caseload.mjs --clients N --days D --out DIR
//        [--seed 1] [--start 2025-01-06] [--bad 0.005] [--sessions yes|no]
//
// Writes clients.csv, programmes.csv, assessments.csv, sessions.csv (columns of records.md),
// truth.json (the true parameters, the sizes and the as-of day) and truth-clients.csv (the true
// effects of every client). Streams: memory does not grow with N. Client k is drawn from its own
// generator, seeded by (seed, k), so client k is the same client whatever N is.
import { closeSync, mkdirSync, openSync, writeFileSync, writeSync } from 'node:fs'
import { join } from 'node:path'

// ---------------------------------------------------------------- arguments
const args = { seed: '1', start: '2025-01-06', bad: '0.005', sessions: 'yes' }
for (let i = 2; i < process.argv.length; i += 2) {
  const k = process.argv[i]
  if (!k.startsWith('--') || process.argv[i + 1] === undefined) fail(`cannot use ${k}`)
  args[k.slice(2)] = process.argv[i + 1]
}
function fail(m) {
  console.error(m)
  process.exit(2)
}
const N = Number(args.clients),
  D = Number(args.days),
  SEED = Number(args.seed) >>> 0,
  BAD = Number(args.bad)
if (
  !(N >= 1) ||
  !(D >= 60) ||
  !args.out ||
  !(BAD >= 0 && BAD <= 1) ||
  !/^\d{4}-\d\d-\d\d$/.test(args.start) ||
  !['yes', 'no'].includes(args.sessions)
) {
  fail(
    'usage: make-caseload.mjs --clients N --days D (60 or more) --out DIR [--seed S] [--start DATE] [--bad SHARE] [--sessions yes|no]',
  )
}
const WITH_SESSIONS = args.sessions === 'yes'
mkdirSync(args.out, { recursive: true })

// ---------------------------------------------------------------- dates as day numbers
const DAY = 86400000
const START = Date.parse(`${args.start}T00:00:00Z`) / DAY // day number of the first day
const AS_OF = START + D - 1 // the last day, also the as-of day
const isoCache = new Map()
function iso(day) {
  let s = isoCache.get(day)
  if (s === undefined) {
    s = new Date(day * DAY).toISOString().slice(0, 10)
    isoCache.set(day, s)
  }
  return s
}
const weekday = (day) => (day + 3) % 7 // 0 is Monday
const MONTH = 30.4375

// ---------------------------------------------------------------- seeded generator (sfc32)
function makeRng(seed, k) {
  let h = (Math.imul(seed ^ 0x9e3779b9, 0x85ebca6b) ^ Math.imul(k + 0x7f4a7c15, 0xc2b2ae35)) >>> 0
  const mix = () => {
    h = (h + 0x9e3779b9) >>> 0
    let z = h
    z = Math.imul(z ^ (z >>> 16), 0x21f0aaad)
    z = Math.imul(z ^ (z >>> 15), 0x735a2d97)
    return (z ^ (z >>> 15)) >>> 0
  }
  let a = mix(),
    b = mix(),
    c = mix(),
    d = 1,
    spare = NaN
  const u = () => {
    const t = (((a + b) | 0) + d) | 0
    d = (d + 1) | 0
    a = b ^ (b >>> 9)
    b = (c + (c << 3)) | 0
    c = (c << 21) | (c >>> 11)
    c = (c + t) | 0
    return (t >>> 0) / 4294967296
  }
  for (let i = 0; i < 12; i++) u()
  const normal = () => {
    if (!Number.isNaN(spare)) {
      const s = spare
      spare = NaN
      return s
    }
    for (;;) {
      const x = 2 * u() - 1,
        y = 2 * u() - 1,
        r = x * x + y * y
      if (r > 0 && r < 1) {
        const f = Math.sqrt((-2 * Math.log(r)) / r)
        spare = y * f
        return x * f
      }
    }
  }
  const gamma = (k2) => {
    // Marsaglia and Tsang, k2 >= 1
    const dd = k2 - 1 / 3,
      cc = 1 / Math.sqrt(9 * dd)
    for (;;) {
      const x = normal(),
        v = (1 + cc * x) ** 3
      if (v > 0 && Math.log(1 - u()) < 0.5 * x * x + dd - dd * v + dd * Math.log(v)) return dd * v
    }
  }
  return {
    u,
    normal,
    gamma,
    beta: (p, q) => {
      const x = gamma(p),
        y = gamma(q)
      return x / (x + y)
    },
    int: (lo, hi) => lo + Math.floor(u() * (hi - lo + 1)),
    pick: (list) => list[Math.floor(u() * list.length)],
    weighted: (pairs) => {
      let r = u()
      for (const [v, w] of pairs) {
        if (r < w) return v
        r -= w
      }
      return pairs[pairs.length - 1][0]
    },
  }
}

// ---------------------------------------------------------------- the true model
const TRUE = {
  // latent score of series s (client, reflex, side) of client i, m months after its line's start:
  //   b0 + b_age (age at start in years - 5) + u0_i + v0_s
  //   + m b_maturation + max(m, 0) (b_adherence a_i + u1_i + v1_s) + rater bias + error
  // written score: latent rounded to a whole number, cut to 0..4
  b0: 2.6,
  b_age: -0.06,
  b_maturation: -0.015,
  b_adherence: -0.4,
  sd_client_intercept: 0.45,
  sd_client_slope: 0.05,
  cor_client: -0.2,
  sd_series_intercept: 0.35,
  sd_series_slope: 0.03,
  cor_series: 0,
  sd_error: 0.3,
  sd_rater: 0.1,
  adherence_beta: [3.0, 1.6], // a_i ~ Beta: the client's own level on a fresh weekday
  fade_floor: [0.55, 0.95],
  fade_per_week: 0.05, // persistence: floor + (1 - floor) exp(-rate weeks)
  weekend_factor: [0.55, 1.0],
  gap_per_day: 1 / 90,
  gap_mean_days: 8,
  stop_logging_share: 0.12,
  line_done_given_slot: 0.95,
  extra_session: 0.02,
  double_scoring_visit: 0.08,
  visit_missed: 0.06,
  series_not_scored: 0.03,
  no_baseline_share: 0.06,
  visit_every_days: 58,
  visit_jitter_days: 10,
}
const BILATERAL = [
  'asymmetric_tonic_neck',
  'babkin',
  'extensor_plantar',
  'palmar_grasp',
  'plantar_grasp',
  'rooting',
  'spinal_galant',
]
const MIDLINE = ['moro', 'snout', 'sucking', 'symmetric_tonic_neck', 'tonic_labyrinthine']
const CATALOGUE = [...BILATERAL, ...MIDLINE].sort()
const SITES = [
  ['Heron', 0.45],
  ['Curlew', 0.33],
  ['Plover', 0.22],
]
const K_REFLEXES = [
  [2, 0.08],
  [3, 0.14],
  [4, 0.22],
  [5, 0.22],
  [6, 0.17],
  [7, 0.11],
  [8, 0.06],
]
const STIMULI = [
  ['brush', 0.34],
  ['touch', 0.26],
  ['movement', 0.2],
  ['vibration', 0.14],
  ['electrical', 0.06],
]
const CAUTIONS = [
  'fracture_risk',
  'heart_rhythm',
  'implanted_device',
  'pregnancy',
  'seizures',
  'shunt',
  'skin',
]
const NOTES = [
  'tired',
  '"tired, short session"',
  'after nap',
  '"grandmother did it, all fine"',
  '"said ""again"" twice"',
  'après la sieste',
  'restless',
  'cold hands',
  'on holiday',
  '"bath first, then brush"',
]
const SPELT = {
  // other spellings of a side, all readable
  left: ['L', 'l', 'Left', 'LEFT', 'left '],
  right: ['R', 'r', 'Right', 'RIGHT', ' right'],
  midline: ['M', 'm', 'Midline', 'MIDLINE', 'mid'],
}
const BAD_SIDE = ['?', 'x', 'lft', 'rigth', 'n/a']
const BAD_NUMBER = ['1O', 'ten', '12x', '?', 'n/a', '3..5', '-', 'tbc']
const BAD_SCORE = ['n/a', '2-3', '?', 'tw0', '1/2', 'abs']
const OUT_OF_RANGE = ['5', '9', '-1', '40']

const RATERS = [] // 8 raters a site, each with its own bias
{
  const r = makeRng(SEED, -7)
  for (const [site] of SITES)
    for (let i = 1; i <= 8; i++)
      RATERS.push({ id: `${site.toLowerCase()}-r${i}`, site, bias: TRUE.sd_rater * r.normal() })
}
const RATERS_OF = Object.fromEntries(SITES.map(([s]) => [s, RATERS.filter((r) => r.site === s)]))

// ---------------------------------------------------------------- output
function sink(name, header) {
  const fd = openSync(join(args.out, name), 'w')
  let buf = `${header}\n`,
    rows = 0
  return {
    row(s) {
      buf += `${s}\n`
      rows++
      if (buf.length > 1 << 19) {
        writeSync(fd, buf)
        buf = ''
      }
    },
    end() {
      writeSync(fd, buf)
      closeSync(fd)
      return rows
    },
  }
}
const clientsOut = sink(
  'clients.csv',
  'client_id,birth_date,gestation_weeks,sex,site,clinician,group,enrolled_on,discharged_on,discharge_reason,cautions,research_consent',
)
const programmesOut = sink(
  'programmes.csv',
  'client_id,target,side,stimulus,sessions_per_day,reps_per_session,seconds_per_session,intensity,starts_on,ends_on',
)
const assessmentsOut = sink('assessments.csv', 'client_id,assessed_on,reflex,side,score,scale_max,rater_id')
const sessionsOut = sink(
  'sessions.csv',
  'client_id,done_on,done_at,target,side,stimulus,reps,seconds,intensity,done_by,reaction,note',
)
const truthOut = sink(
  'truth-clients.csv',
  'client_id,adherence,intercept_effect,slope_effect,fade_floor,weekend_factor',
)
const placed = {
  side_spelt: 0,
  side_unknown: 0,
  reps_unreadable: 0,
  score_unreadable: 0,
  score_out_of_range: 0,
  sessions_per_day_unreadable: 0,
  reps_per_session_unreadable: 0,
  gestation_unreadable: 0,
}

const spelt = (r, side) => {
  placed.side_spelt++
  return r.pick(SPELT[side])
}
const hhmm = (m) => `${String(Math.floor(m / 60)).padStart(2, '0')}:${String(m % 60).padStart(2, '0')}`

// ---------------------------------------------------------------- one client
function client(k) {
  const r = makeRng(SEED, k)
  const id = `SM-${String(k).padStart(5, '0')}`
  const site = r.weighted(SITES)
  const ageYears = Math.min(14, Math.max(0.6, 0.6 + r.gamma(2.2) * 2.1))
  const enrolled = START + Math.floor(D * 0.3 * r.u() ** 1.5)
  const noBaseline = r.u() < TRUE.no_baseline_share
  const baseline = enrolled + r.int(0, 4)
  const start = Math.min(AS_OF - 14, noBaseline ? baseline : baseline + r.int(1, 14))
  const birth = Math.round(start - ageYears * 365.25)
  const gestation = Math.round(
    Math.min(42, Math.max(24, r.u() < 0.15 ? 31 + 2.5 * r.normal() : 39.3 + 1.3 * r.normal())),
  )
  const discharged = r.u() < 0.15 ? start + 45 + Math.floor(r.u() * Math.max(1, D - 60)) : Infinity
  const left = discharged <= AS_OF
  const lastDay = left ? discharged : AS_OF
  const stopsLogging = r.u() < TRUE.stop_logging_share ? start + 14 + Math.floor(r.u() * 0.8 * D) : Infinity

  // true effects
  const a = r.beta(TRUE.adherence_beta[0], TRUE.adherence_beta[1])
  const z0 = r.normal(),
    z1 = r.normal()
  const u0 = TRUE.sd_client_intercept * z0
  const u1 = TRUE.sd_client_slope * (TRUE.cor_client * z0 + Math.sqrt(1 - TRUE.cor_client ** 2) * z1)
  const fadeFloor = TRUE.fade_floor[0] + (TRUE.fade_floor[1] - TRUE.fade_floor[0]) * r.u()
  const weekend = TRUE.weekend_factor[0] + (TRUE.weekend_factor[1] - TRUE.weekend_factor[0]) * r.u()
  truthOut.row(
    `${id},${a.toFixed(6)},${u0.toFixed(6)},${u1.toFixed(6)},${fadeFloor.toFixed(6)},${weekend.toFixed(6)}`,
  )

  // clients.csv
  const cautions = CAUTIONS.filter(
    (c) => r.u() < (c === 'pregnancy' ? 0 : c === 'seizures' ? 0.09 : 0.025),
  ).join(';')
  let gest = String(gestation)
  if (r.u() < BAD) {
    gest = r.pick(BAD_NUMBER)
    placed.gestation_unreadable++
  }
  clientsOut.row(
    [
      id,
      iso(birth),
      gest,
      r.weighted([
        ['male', 0.56],
        ['female', 0.42],
        ['other', 0.005],
        ['unknown', 0.015],
      ]),
      site,
      `${site.toLowerCase()}-c${r.int(1, 4)}`,
      r.u() < 0.7 ? 'home' : 'home and clinic',
      iso(enrolled),
      left ? iso(discharged) : '',
      left
        ? r.weighted([
            ['completed', 0.5],
            ['stopped', 0.22],
            ['moved', 0.16],
            ['referred', 0.1],
            ['other', 0.02],
          ])
        : '',
      cautions,
      r.weighted([
        ['yes', 0.7],
        ['no', 0.2],
        ['unknown', 0.1],
      ]),
    ].join(','),
  )

  // series and their lines: 2 to 8 reflexes; a bilateral one is retained on both sides, or (15%) on one
  const pool = CATALOGUE.slice(),
    nReflex = r.weighted(K_REFLEXES),
    weak = r.u() < 0.5 ? 'left' : 'right'
  const series = []
  for (let j = 0; j < nReflex; j++) {
    const reflex = pool.splice(Math.floor(r.u() * pool.length), 1)[0]
    const bilateral = BILATERAL.includes(reflex)
    let sides = ['midline']
    if (bilateral) sides = r.u() < 0.15 ? [r.u() < 0.5 ? 'left' : 'right'] : ['left', 'right']
    const emphasised = r.u() < 0.75 ? weak : weak === 'left' ? 'right' : 'left'
    const stimulus = r.weighted(STIMULI),
      reps = r.pick([6, 8, 10, 12, 15])
    const lineStart = r.u() < 0.75 ? start : Math.min(start + r.int(14, 56), lastDay - 7)
    const endsEarly = r.u() < 0.05 ? lineStart + r.int(30, 200) : Infinity
    const seconds = stimulus === 'vibration' || stimulus === 'electrical' ? r.pick([20, 30, 45, 60]) : 0
    const intensity =
      stimulus === 'electrical' ? r.int(4, 18) / 2 : stimulus === 'vibration' ? r.int(1, 3) : 0
    for (const side of sides) {
      series.push({
        reflex,
        side,
        stimulus,
        reps: side === emphasised ? 2 * reps : reps,
        seconds,
        intensity,
        start: Math.max(start, lineStart),
        end: Math.min(endsEarly, left ? discharged : Infinity),
        v0: TRUE.sd_series_intercept * r.normal(),
        v1: TRUE.sd_series_slope * r.normal(),
      })
    }
  }
  series.sort((x, y) => (x.reflex < y.reflex ? -1 : x.reflex > y.reflex ? 1 : x.side < y.side ? -1 : 1))
  const perDay = r.u() < 0.92 ? 3 : 2
  for (const s of series) {
    s.end = s.end > AS_OF ? Infinity : Math.max(s.end, s.start)
    let side = s.side,
      n = String(perDay),
      reps = String(s.reps)
    if (r.u() < BAD) {
      const b = r.u()
      if (b < 0.7) side = spelt(r, s.side)
      else if (b < 0.85) {
        reps = r.pick(BAD_NUMBER)
        placed.reps_per_session_unreadable++
      } else {
        n = r.pick(BAD_NUMBER)
        placed.sessions_per_day_unreadable++
      }
    }
    programmesOut.row(
      `${id},${s.reflex},${side},${s.stimulus},${n},${reps},${s.seconds || ''},${s.intensity || ''},${iso(s.start)},${s.end === Infinity ? '' : iso(s.end)}`,
    )
  }

  // assessments.csv: a baseline, then a visit about every two months
  const visits = []
  let v = noBaseline ? start + r.int(10, 40) : baseline
  while (v <= lastDay) {
    if (!visits.length || r.u() >= TRUE.visit_missed) visits.push(v)
    v += Math.max(20, Math.round(TRUE.visit_every_days + TRUE.visit_jitter_days * r.normal()))
  }
  const clinicDays = new Set(visits)
  const raters = RATERS_OF[site],
    mine = r.pick(raters)
  for (const day of visits) {
    const first = r.u() < 0.8 ? mine : r.pick(raters)
    let second = null
    if (r.u() < TRUE.double_scoring_visit) {
      do second = r.pick(raters)
      while (second === first)
    }
    const who = second === null ? [first] : first.id < second.id ? [first, second] : [second, first]
    for (const s of series) {
      if (r.u() < TRUE.series_not_scored) continue
      const m = (day - s.start) / MONTH
      const latent =
        TRUE.b0 +
        TRUE.b_age * (ageYears - 5) +
        u0 +
        s.v0 +
        m * TRUE.b_maturation +
        Math.max(m, 0) * (TRUE.b_adherence * a + u1 + s.v1)
      for (const rater of who) {
        let score = String(
            Math.min(4, Math.max(0, Math.round(latent + rater.bias + TRUE.sd_error * r.normal()))),
          ),
          side = s.side
        if (r.u() < BAD) {
          const b = r.u()
          if (b < 0.7) side = spelt(r, s.side)
          else if (b < 0.9) {
            score = r.pick(BAD_SCORE)
            placed.score_unreadable++
          } else {
            score = r.pick(OUT_OF_RANGE)
            placed.score_out_of_range++
          }
        }
        assessmentsOut.row(
          `${id},${iso(day)},${s.reflex},${side},${score === '-0' ? '0' : score},4,${rater.id}`,
        )
      }
    }
  }
  if (!WITH_SESSIONS) return

  // sessions.csv: the family's log. A slot (morning, midday, evening) is done or not, and then nearly all its lines
  const timed = r.u() < 0.65,
    asks = r.u() < 0.4,
    self = ageYears > 10 && r.u() < 0.4
  const slotAt = [r.int(84, 102) * 5, r.int(138, 200) * 5, r.int(212, 236) * 5, r.int(243, 255) * 5]
  const continues = r.u() < 0.1 // goes on for a while after a line has ended: off the programme
  const lastSession = Math.min(AS_OF, stopsLogging, continues && left ? discharged + 10 : lastDay)
  let gapLeft = 0
  const did = [false, false, false, false]
  for (let day = start; day <= lastSession; day++) {
    if (gapLeft > 0) {
      gapLeft--
      continue
    }
    if (r.u() < TRUE.gap_per_day) {
      gapLeft = Math.floor(-TRUE.gap_mean_days * Math.log(1 - r.u()))
      continue
    }
    const p =
      a *
      (fadeFloor + (1 - fadeFloor) * Math.exp((-TRUE.fade_per_week * (day - start)) / 7)) *
      (weekday(day) >= 5 ? weekend : 1)
    let any = false
    for (let t = 0; t < 3; t++) {
      did[t] = t < perDay && r.u() < p
      any = any || did[t]
    }
    did[3] = any && r.u() < TRUE.extra_session
    const clinic = clinicDays.has(day)
    if (!any && !clinic) continue
    const date = iso(day),
      jitter = timed ? r.int(-6, 6) * 5 : 0
    const one = (s, t) => {
      if (day < s.start || day > s.end + (continues ? 10 : 0)) return
      if (!did[t] && !(clinic && t === 1)) return
      if (r.u() >= TRUE.line_done_given_slot) return
      let reps = s.reps,
        side = s.side
      const w = r.u()
      if (w < 0.12) reps = Math.max(1, Math.round(s.reps * (0.5 + 0.5 * r.u())))
      else if (w < 0.14) reps = s.reps + r.int(1, 4)
      let repsText = reps
      if (r.u() < BAD) {
        const b = r.u()
        if (b < 0.8) side = spelt(r, s.side)
        else if (b < 0.94) {
          repsText = r.pick(BAD_NUMBER)
          placed.reps_unreadable++
        } else {
          side = r.pick(BAD_SIDE)
          placed.side_unknown++
        }
      }
      const x = r.u()
      const reaction =
        x < 0.006 ? r.pick(['skin', 'distress', 'sleepy', 'colour', 'other']) : asks ? 'none' : ''
      const note = x > 0.985 ? r.pick(NOTES) : ''
      sessionsOut.row(
        `${id},${date},${timed ? hhmm(slotAt[t] + jitter) : ''},${s.reflex},${side},${s.stimulus},${repsText},${s.seconds || ''},${s.intensity || ''},${clinic && t === 1 ? 'clinician' : self ? 'self' : 'family'},${reaction},${note}`,
      )
    }
    if (timed) {
      for (let t = 0; t < 4; t++) for (const s of series) one(s, t)
    } else {
      for (const s of series) for (let t = 0; t < 4; t++) one(s, t)
    }
  }
}

for (let k = 1; k <= N; k++) client(k)
const rows = {
  clients: clientsOut.end(),
  programmes: programmesOut.end(),
  assessments: assessmentsOut.end(),
  sessions: sessionsOut.end(),
}
truthOut.end()
const [p, q] = TRUE.adherence_beta
writeFileSync(
  join(args.out, 'truth.json'),
  `${JSON.stringify(
    {
      made_by: 'make-caseload.mjs',
      seed: SEED,
      clients: N,
      days: D,
      first_day: iso(START),
      as_of: iso(AS_OF),
      bad_share: BAD,
      rows,
      bad_values_placed: placed,
      model: TRUE,
      implied: {
        note: 'latent scale, before rounding and the floor at 0; a fit to the written scores is pulled towards less change by the floor',
        mean_slope_per_month: TRUE.b_maturation + (TRUE.b_adherence * p) / (p + q),
        sd_slope_per_month: Math.sqrt(
          (TRUE.b_adherence ** 2 * (p * q)) / ((p + q) ** 2 * (p + q + 1)) +
            TRUE.sd_client_slope ** 2 +
            TRUE.sd_series_slope ** 2,
        ),
        sd_intercept_at_age_5: Math.sqrt(TRUE.sd_client_intercept ** 2 + TRUE.sd_series_intercept ** 2),
        sd_residual_with_rounding: Math.sqrt(TRUE.sd_error ** 2 + TRUE.sd_rater ** 2 + 1 / 12),
      },
      raters: RATERS.map(({ id, bias }) => ({ id, bias: Number(bias.toFixed(6)) })),
    },
    null,
    1,
  )}\n`,
)
console.log(JSON.stringify({ ...rows, as_of: iso(AS_OF) }))
