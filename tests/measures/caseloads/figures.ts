import {
  type AdherenceFigures,
  adherence,
  attentionList,
  beforeAndAfter,
  type ChangeSummary,
  type Computed,
  caseloadTrajectory,
  clientFlow,
  doseResponse,
  HORIZONS,
  type HorizonChange,
  type HorizonName,
  improvementFunnel,
  isComputed,
  phaseModel,
  raterAgreement,
  reactions,
  type Series,
  STATUSES,
  seriesSlopes,
  seriesStatuses,
  timeToIntegration,
  visitGap,
} from '../../../src/measures/index.ts'
import type { Day, Records } from '../../../src/records/index.ts'

/** Figures by name, as measures.R names them. Not reached is 1e9, never -1; what cannot be computed has no name. */
export type Figures = Map<string, number>
type Put = (name: string, value: number | boolean | null | undefined) => void
type Option = { readonly asOf: Day }

const nameOf = ({ client_id, reflex, side }: Series): string => `${client_id}|${reflex}|${side}`
const whenComputed = <T>(value: Computed<T>, then: (value: T) => void): void => {
  if (isComputed(value)) then(value)
}

function statuses(put: Put, records: Records, option: Option): void {
  const found = seriesStatuses(records, option)
  whenComputed(found.difference, (d) => {
    put('srd', d.severity)
    put('srd.pairs', d.pairs)
    put('srd.clients', d.clients)
    put('srd.own', d.from !== 'assumed')
  })
  for (const s of found.series) put(`status.${nameOf(s.series)}`, STATUSES.indexOf(s.status) + 1)
}

function summary(put: Put, name: string, row: ChangeSummary): void {
  put(`${name}.n`, row.clients)
  put(`${name}.series`, row.series)
  put(`${name}.before`, row.baselineMean)
  put(`${name}.after`, row.followUpMean)
  put(`${name}.change`, row.meanChange)
  put(`${name}.p`, row.p)
  put(`${name}.holm`, row.pHolm)
  whenComputed(row.rankBiserial, (r) => put(`${name}.rb`, r.estimate))
  whenComputed(row.effect, (e) => {
    if (row.clients < 3) return
    put(`${name}.dz`, e.dZ)
    put(`${name}.dzlo`, e.dZInterval.lower)
    put(`${name}.dzhi`, e.dZInterval.upper)
    put(`${name}.g`, e.hedgesG)
    put(`${name}.glo`, e.hedgesGInterval.lower)
    put(`${name}.ghi`, e.hedgesGInterval.upper)
    put(`${name}.davmean`, e.dAv)
    put(`${name}.dav`, e.dAvRms)
  })
  if (!isComputed(row.improved)) put(`${name}.elig`, 0)
  whenComputed(row.improved, (share) => {
    put(`${name}.elig`, share.n)
    put(`${name}.improved`, Math.round(share.estimate * share.n))
    put(`${name}.wlo`, share.interval.lower)
    put(`${name}.whi`, share.interval.upper)
  })
}

function horizon(put: Put, name: string, change: HorizonChange): void {
  const left = (reason: RegExp) =>
    change.exclusions.filter((e) => reason.test(e.reason)).reduce((sum, e) => sum + e.count, 0)
  put(`${name}.appropriate`, left(/age-appropriate/))
  put(`${name}.unknownage`, left(/age unknown/))
  put(`${name}.series`, change.n)
  for (const row of change.byReflex) summary(put, `${name}.${row.label}`, row)
  for (const row of change.bySite)
    summary(put, `${name}.site.${row.label === 'site not recorded' ? '' : row.label}`, row)
  for (const row of change.bySide) summary(put, `${name}.side.${row.label}`, row)
  for (const row of change.ageAppropriate) summary(put, `${name}.app.${row.label}`, row)
  summary(put, `${name}.all`, change.overall.byClient)
  whenComputed(change.overall.mixedModel, ({ change: mean }) => {
    put(`fit.${name}.mixed`, mean.estimate)
    put(`fit.${name}.mixedse`, mean.standardError)
  })
}

function slopes(put: Put, records: Records, option: Option): void {
  for (const s of seriesSlopes(records, option).slopes) {
    const name = nameOf(s.series)
    whenComputed(s.theilSen, (t) => put(`slope.ts.${name}`, t.slope))
    whenComputed(s.leastSquares, (line) => {
      put(`slope.ls.${name}`, line.slope)
      put(`slope.lslo.${name}`, line.interval.lower)
      put(`slope.lshi.${name}`, line.interval.upper)
    })
  }
}

function integration(put: Put, records: Records, option: Option): void {
  const found = timeToIntegration(records, { ...option, draws: 20 })
  for (const i of found.intervals) {
    put(`tti.L.${nameOf(i.series)}`, i.left)
    put(`tti.R.${nameOf(i.series)}`, i.right)
  }
  for (const r of found.reflexes) {
    const name = `tti.${r.reflex}`
    put(`${name}.series`, r.series)
    put(`${name}.clients`, r.clients)
    put(`${name}.integrated`, r.integrated)
    whenComputed(r.median, (m) => {
      put(`${name}.medl`, m.left)
      put(`${name}.medr`, m.right)
    })
    whenComputed(r.estimate, ({ estimate, survival }) => {
      put(`fit.${name}.ll`, estimate.logLikelihood)
      for (const s of survival) {
        put(`fit.${name}.at${s.at}.lo`, s.lowest)
        put(`fit.${name}.at${s.at}.hi`, s.highest)
      }
    })
  }
}

const READINGS = [
  ['dose', 'doseFraction'],
  ['sh', 'sessionShare'],
  ['full', 'daysInFull'],
  ['tch', 'daysTouched'],
  ['over', 'overDoseDays'],
] as const

function figures(put: Put, name: string, f: AdherenceFigures): void {
  put(`${name}.linedays`, f.lineDays)
  put(`${name}.logged`, f.loggedLineDays)
  put(`${name}.done`, f.sessionsDone)
  put(`${name}.presc`, f.sessionsPrescribed)
  for (const [short, field] of READINGS) {
    put(`${name}.${short}.all`, f[field].asLogged)
    put(`${name}.${short}.log`, f[field].loggedDaysOnly)
  }
}

function diary(put: Put, records: Records, option: Option): void {
  const log = adherence(records, option)
  figures(put, 'ad', log.caseload)
  put('ad.withoutfigure', log.caseload.sessionsWithoutFigure)
  put('ad.onprogramme', log.sessions.onProgramme)
  put('ad.off', log.sessions.offProgramme)
  put('ad.lines', log.linesUsed)
  for (const line of log.lines) {
    const name = `adl.${line.client_id}|${line.target}|${line.side}@${line.startsOn}`
    figures(put, name, line)
    put(`${name}.gap`, line.longestGap)
    put(`${name}.init`, line.initiationDays ?? -1)
  }
  for (const client of log.clients) {
    const name = `adc.${client.client_id}`
    figures(put, name, client)
    put(`${name}.gap`, client.longestGap)
    put(`${name}.init`, client.initiationDays ?? -1)
    put(`${name}.days`, client.daysWithSession)
    put(`${name}.break`, client.firstLongBreak?.startsOn ?? -1)
    put(`${name}.recent`, client.recent?.shareTouched ?? -1)
  }
  put('km.n', log.persistence.n)
  whenComputed(log.persistence.curve, ({ time, survival }) => {
    for (const day of [28, 56, 84, 112, 168])
      put(`km.${day}`, survival[time.findLastIndex((t) => t <= day)] ?? 1)
  })
  for (const ratio of log.sideRatios) {
    const name = `ratio.${ratio.client_id}.${ratio.target}`
    put(`${name}.left`, ratio.recent.leftDelivered)
    put(`${name}.right`, ratio.recent.rightDelivered)
    put(`${name}.presc`, ratio.recent.prescribedRatio ?? -1)
    put(`${name}.flag`, ratio.flagged)
  }
}

function reactionRates(put: Put, records: Records, option: Option): void {
  const { all, byStimulus } = reactions(records, option)
  for (const row of [all, ...byStimulus]) {
    const name = `rx.${row.stimulus === 'all' ? 'ALL' : row.stimulus}`
    put(`${name}.asked`, row.asked)
    put(`${name}.notasked`, row.notAsked)
    put(`${name}.n`, row.reactions)
    put(`${name}.rate`, row.rate)
    put(`${name}.lo`, row.lower)
    put(`${name}.hi`, row.upper)
  }
}

function agreement(put: Put, records: Records, option: Option): void {
  const { rows, tooFew } = raterAgreement(records, option)
  for (const row of tooFew) put(`${['agree', row.reflex, ...row.raters].join('|')}.n`, row.pairs)
  for (const row of rows) {
    const name = ['agree', row.reflex, ...row.raters].join('|')
    put(`${name}.n`, row.pairs)
    whenComputed(row.kappa, (k) => put(`${name}.kappa`, k.estimate))
    whenComputed(row.icc, ({ icc21 }) => {
      put(`${name}.icc`, icc21.estimate)
      put(`${name}.icclo`, icc21.interval.lower)
      put(`${name}.icchi`, icc21.interval.upper)
    })
    whenComputed(row.blandAltman, (b) => {
      put(`${name}.bias`, b.bias)
      put(`${name}.loalo`, b.lowerLimit)
      put(`${name}.loahi`, b.upperLimit)
    })
  }
}

function caseload(put: Put, records: Records, option: Option): void {
  for (const by of ['clinician', 'site'] as const)
    whenComputed(improvementFunnel(records, { ...option, by }).funnel, (funnel) => {
      put(`funnel.${by}.overall`, funnel.overall)
      for (const point of funnel.points) {
        const name = `funnel.${by}.${point.name}`
        put(`${name}.n`, point.n)
        put(`${name}.k`, point.improved)
        for (const limit of funnel.limits.filter((l) => l.n === point.n)) {
          put(`${name}.lo${limit.level}`, limit.lower)
          put(`${name}.hi${limit.level}`, limit.upper)
        }
      }
    })
  clientFlow(records, option).stages.forEach((stage, i) => {
    put(`flow.${i}`, stage.clients)
  })
  put('gap.median', visitGap(records, option).medianDays)
  for (const entry of attentionList(records, option).entries)
    for (const kind of new Set(entry.reasons.map((r) => r.kind)))
      if (kind !== 'look today') put(`att.${kind}.${entry.client_id}`, 1)
}

function models(put: Put, records: Records, option: Option): void {
  const dose = doseResponse(records, option)
  put('dose.n', dose.n)
  whenComputed(dose.model, (m) => {
    put('fit.dose.within', m.within.estimate)
    put('fit.dose.between', m.between.estimate)
    put('fit.dose.at', m.atMeanDose.estimate)
  })
  whenComputed(caseloadTrajectory(records, option).model, (m) => {
    put('fit.traj.slope', m.slope.estimate)
    put('fit.traj.intercept', m.intercept.estimate)
    put('fit.traj.reml', m.fit.remlCriterion)
    put('fit.traj.resid', m.residualSd)
    put('fit.traj.sdc', m.slopeSdBetweenClients)
    put('fit.traj.sds', m.slopeSdBetweenSeries)
    for (const s of m.shrunken) put(`fit.traj.shrunk.${nameOf(s.series)}`, s.slope)
  })
  const phase = phaseModel(records, option)
  put('phase.series', phase.n)
  put('phase.two', phase.seriesWithTwoBefore)
  whenComputed(phase.linear, (m) => {
    put('fit.phase.before', m.before.estimate)
    put('fit.phase.diff', m.difference.estimate)
    put('fit.phase.reml', m.fit.remlCriterion)
  })
  whenComputed(phase.ordinal, (m) => {
    put('fit.clmm.before', m.before.estimate)
    put('fit.clmm.diff', m.difference.estimate)
    put('fit.clmm.ll', m.fit.logLikelihood)
  })
}

/** Every figure of every measure, by the names of measures.R. */
export function figuresOf(records: Records, asOf: Day): Figures {
  const found: Figures = new Map()
  const put: Put = (name, value) => {
    if (value !== null && value !== undefined && !Number.isNaN(Number(value)))
      found.set(name, value === Infinity ? 1e9 : Number(value))
  }
  const option = { asOf }
  statuses(put, records, option)
  const change = beforeAndAfter(records, { ...option, draws: 20 })
  for (const name of Object.keys(HORIZONS) as HorizonName[]) horizon(put, `ba.${name}`, change.horizons[name])
  for (const part of [slopes, integration, diary, reactionRates, agreement, caseload, models])
    part(put, records, option)
  return found
}
