import type { ProgrammeLine, Side, Stimulus, Target } from '../../records/index.ts'
import { BLANK, type FieldView, fieldView, problemCode, ruleOf } from '../fieldView.ts'
import type { Field } from '../guide/guide.ts'
import { Interner } from '../interner.ts'
import { readStimulus } from '../interpret/index.ts'
import type { PlannedGroup } from '../plan.ts'
import { type Candidate, readRecords } from './assessments.ts'
import type { ClientList } from './clients.ts'
import {
  countEncoder,
  dateView,
  durationEncoder,
  encoder,
  groupColumnView,
  intensityEncoder,
} from './encoders.ts'
import type { Reckoning, TableJob } from './job.ts'
import { Subject } from './subject.ts'

const MEASURES = ['sessions_per_day', 'reps_per_session', 'seconds_per_session', 'intensity'] as const
type Measure = (typeof MEASURES)[number]

/** The prescribed lines of one table. */
export function readProgrammes(
  job: TableJob,
  clients: ClientList,
  reckoning: Reckoning,
): Candidate<ProgrammeLine>[] {
  const { table, plan } = job
  const { log } = reckoning
  const subject = new Subject(job, clients, reckoning, 'starts_on')
  const ends = dateView(table, plan, 'ends_on', Number.POSITIVE_INFINITY)
  const numbers = new Interner<number | null>([null])
  const stimuli = new Interner<Stimulus>()
  const texts = new Interner<string>()
  const stimulus = fieldView(table, plan, 'stimulus', encoder(stimuli, readStimulus))
  const recordId = fieldView(table, plan, 'record_id', (text) => texts.codeOf(text))
  const encoders = {
    sessions_per_day: countEncoder(plan, numbers),
    reps_per_session: countEncoder(plan, numbers),
    seconds_per_session: durationEncoder(plan, numbers),
    intensity: intensityEncoder(plan, numbers),
  }
  const groups = plan.groups.map((group) => ({
    always: group.always,
    ...subject.fixed(group),
    stimulus: group.stimulus === null ? null : readStimulus(group.stimulus),
    views: Object.fromEntries(MEASURES.map((m) => [m, measureView(m, group)])) as Record<Measure, FieldView>,
    own: group.columns.map((column) => column.field),
  }))

  function measureView(measure: Measure, group: PlannedGroup): FieldView {
    const column = group.columns.find((c) => c.field === measure)
    if (column === undefined) return fieldView(table, plan, measure, encoders[measure])
    return groupColumnView(table, plan, column, encoders[measure])
  }
  const readRow = (row: number): Candidate<ProgrammeLine>[] | null => {
    const filled = groups.map((group) => ({
      ...group,
      filled: group.always || group.own.some((field) => group.views[field as Measure].at(row) !== BLANK),
    }))
    const record = subject.of(row, filled)
    if (record === null) return null
    const { client, day } = record
    const end = endOf(row, client)
    if (end !== null && end < 0) return subject.reject(row, 'ends_on', ends, end)
    const emptied: [Field, FieldView, number][] = []
    const number = (field: Field, view: FieldView): number | null => {
      const code = view.at(row)
      if (code >= 0) return numbers.values[code] as number
      if (code !== BLANK) emptied.push([field, view, code])
      return null
    }
    const rows: ProgrammeLine[] = []
    for (const [k, group] of filled.entries()) {
      const { views } = group
      if (!group.filled) continue
      const perDay = views.sessions_per_day.at(row)
      if (perDay < 0) return subject.reject(row, 'sessions_per_day', views.sessions_per_day, perDay)
      const line = {
        client_id: clients.ids.values[client] as string,
        target: record.targets[k] as Target,
        stimulus:
          group.stimulus !== null && 'value' in group.stimulus
            ? group.stimulus.value
            : stimulusOf(row, emptied),
        sessions_per_day: numbers.values[perDay] as number,
        reps_per_session: number('reps_per_session', views.reps_per_session),
        seconds_per_session: number('seconds_per_session', views.seconds_per_session),
        intensity: number('intensity', views.intensity),
        starts_on: day,
        ends_on: end === null ? null : ends.readings.values[end]!.day,
      }
      if (line.reps_per_session === null && line.seconds_per_session === null)
        return subject.reject(row, 'reps_per_session', views.reps_per_session, BLANK)
      for (const side of record.sides[k] as readonly Side[]) rows.push({ ...line, side })
    }
    for (const [field, view, code] of emptied)
      log.add(job, row, field, view.text(row), ruleOf(code), 'emptied')
    const id = recordId.at(row) < 0 ? null : (texts.values[recordId.at(row)] as string)
    return rows.map((value) => ({ value, job, row, recordId: id }))
  }

  /** The end of a line: a blank is still running; one that cannot be read is no end that could be left out. */
  const endOf = (row: number, client: number): number | null => {
    const code = ends.at(row)
    if (code === BLANK) return null
    const birth = clients.births[client]
    const early = code >= 0 && typeof birth === 'number' && ends.readings.values[code]!.day < birth
    return early ? problemCode('date_before_birth') : code
  }

  const stimulusOf = (row: number, emptied: [Field, FieldView, number][]): Stimulus | null => {
    const code = stimulus.at(row)
    if (code >= 0) return stimuli.values[code] as Stimulus
    if (code !== BLANK) emptied.push(['stimulus', stimulus, code])
    return null
  }

  return readRecords(job, readRow)
}
