import type { ProgrammeLine, Side, Stimulus, Target } from '../../records/index.ts'
import { BLANK, type FieldView, fieldView, problemCode, ruleOf } from '../fieldView.ts'
import type { Field } from '../guide/guide.ts'
import { Interner } from '../interner.ts'
import { readStimulus } from '../interpret/index.ts'
import type { PlannedGroup } from '../plan.ts'
import { readRecords } from './assessments.ts'
import type { ClientList } from './clients.ts'
import {
  countEncoder,
  type DateView,
  dateView,
  durationEncoder,
  encoder,
  groupColumnView,
  intensityEncoder,
} from './encoders.ts'
import type { FoundRow, FoundRows } from './foundRows.ts'
import type { Reckoning, TableJob } from './job.ts'
import { Subject } from './subject.ts'

const MEASURES = ['sessions_per_day', 'reps_per_session', 'seconds_per_session', 'intensity'] as const
type Measure = (typeof MEASURES)[number]

/** Adds the prescribed lines of one table. */
export const readProgrammes = (
  job: TableJob,
  clients: ClientList,
  reckoning: Reckoning,
  found: FoundRows<ProgrammeLine>,
): void => {
  const reader = new ProgrammeReader(job, clients, reckoning)
  readRecords(job, found, (row) => reader.readRow(row))
}

interface ProgrammeGroup {
  readonly always: boolean
  readonly target: number
  readonly side: number
  readonly stimulus: Stimulus | null
  readonly views: Readonly<Record<Measure, FieldView>>
  /** Columns whose filled cell makes a line. */
  readonly own: readonly FieldView[]
}

class ProgrammeReader {
  private readonly job: TableJob
  private readonly clients: ClientList
  private readonly reckoning: Reckoning
  private readonly subject: Subject
  private readonly ends: DateView
  private readonly numbers = new Interner<number | null>([null])
  private readonly stimuli = new Interner<Stimulus>()
  private readonly texts = new Interner<string>()
  private readonly stimulus: FieldView
  private readonly recordId: FieldView
  private readonly groups: readonly ProgrammeGroup[]
  /** The groups where all are always filled, so that each record need not be asked. */
  private readonly alwaysFilled: readonly (ProgrammeGroup & { readonly filled: boolean })[] | null
  /** Fields of the record at hand that could not be read. */
  private emptied: { readonly field: Field; readonly view: FieldView; readonly code: number }[] = []

  constructor(job: TableJob, clients: ClientList, reckoning: Reckoning) {
    const { table, plan } = job
    this.job = job
    this.clients = clients
    this.reckoning = reckoning
    this.subject = new Subject(job, clients, reckoning, 'starts_on')
    // A planned end may lie after the as-of day.
    this.ends = dateView(table, plan, 'ends_on', Number.POSITIVE_INFINITY)
    this.stimulus = fieldView(table, plan, 'stimulus', encoder(this.stimuli, readStimulus))
    this.recordId = fieldView(table, plan, 'record_id', (text) => this.texts.codeOf(text))
    this.groups = plan.groups.map((group) => this.groupOf(group))
    const always = this.groups.every((group) => group.always)
    this.alwaysFilled = always ? this.groups.map((group) => ({ ...group, filled: true })) : null
  }

  private groupOf(group: PlannedGroup): ProgrammeGroup {
    const { table, plan } = this.job
    const encoders = {
      sessions_per_day: countEncoder(plan, this.numbers),
      reps_per_session: countEncoder(plan, this.numbers),
      seconds_per_session: durationEncoder(plan, this.numbers),
      intensity: intensityEncoder(plan, this.numbers),
    }
    const own: FieldView[] = []
    const view = (measure: Measure): FieldView => {
      const column = group.columns.find((c) => c.field === measure)
      if (column === undefined) return fieldView(table, plan, measure, encoders[measure])
      const found = groupColumnView(table, plan, column, encoders[measure])
      own.push(found)
      return found
    }
    const views = Object.fromEntries(MEASURES.map((m) => [m, view(m)])) as Record<Measure, FieldView>
    const fixed = group.stimulus === null ? null : readStimulus(group.stimulus)
    const stimulus = fixed !== null && 'value' in fixed ? fixed.value : null
    return { always: group.always, ...this.subject.fixed(group), stimulus, views, own }
  }

  /** The lines of one record, or null after it was rejected. */
  readRow(row: number): FoundRow<ProgrammeLine>[] | null {
    const { subject, ends } = this
    const groups =
      this.alwaysFilled ??
      this.groups.map((g) => ({ ...g, filled: g.always || g.own.some((v) => v.at(row) !== BLANK) }))
    const record = subject.of(row, groups)
    if (record === null) return null
    const end = this.endOf(row, record.client)
    if (end !== null && end < 0) return subject.reject(row, 'ends_on', ends, end)
    const when = { starts_on: record.day, ends_on: end === null ? null : ends.readings.values[end]!.day }
    this.emptied = []
    const lines: ProgrammeLine[] = []
    for (const [k, group] of groups.entries()) {
      if (!group.filled) continue
      const dose = this.doseOf(row, group)
      if (dose === null) return null
      const client_id = this.clients.ids.values[record.client] as string
      for (const side of record.sides[k] as readonly Side[])
        lines.push({ client_id, target: record.targets[k] as Target, side, ...dose, ...when })
    }
    for (const { field, view, code } of this.emptied)
      this.reckoning.log.add(this.job, row, field, view.text(row), ruleOf(code), 'emptied')
    const id = this.recordId.at(row)
    const recordId = id < 0 ? null : (this.texts.values[id] as string)
    return lines.map((value) => ({ value, recordId }))
  }

  /** What is to be done, or null after the record was rejected: sessions a day, and repetitions or a length, must be there. */
  private doseOf(row: number, { views, stimulus }: ProgrammeGroup) {
    const perDay = views.sessions_per_day.at(row)
    if (perDay < 0) return this.subject.reject(row, 'sessions_per_day', views.sessions_per_day, perDay)
    const number = (field: Measure): number | null =>
      this.optional(row, field, views[field], this.numbers.values)
    const dose = {
      stimulus: stimulus ?? this.optional(row, 'stimulus', this.stimulus, this.stimuli.values),
      sessions_per_day: this.numbers.values[perDay] as number,
      reps_per_session: number('reps_per_session'),
      seconds_per_session: number('seconds_per_session'),
      intensity: number('intensity'),
    }
    if (dose.reps_per_session !== null || dose.seconds_per_session !== null) return dose
    if (this.reckoning.linesWithoutDose === 'kept') return dose
    return this.subject.reject(row, 'reps_per_session', views.reps_per_session, BLANK)
  }

  /** A field that a line can do without: null where it is blank, or cannot be read, which is noted. */
  private optional<T>(row: number, field: Field, view: FieldView, values: readonly T[]): T | null {
    const code = view.at(row)
    if (code >= 0) return values[code] as T
    if (code !== BLANK && !this.emptied.some((e) => e.view === view)) this.emptied.push({ field, view, code })
    return null
  }

  /** The end of a line: a blank is still running; one that cannot be read is no end that could be left out. */
  private endOf(row: number, client: number): number | null {
    const code = this.ends.at(row)
    if (code === BLANK) return null
    const birth = this.clients.births[client]
    const early = code >= 0 && typeof birth === 'number' && this.ends.readings.values[code]!.day < birth
    return early ? problemCode('date_before_birth') : code
  }
}
