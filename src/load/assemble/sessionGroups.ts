import type { Stimulus } from '../../records/index.ts'
import {
  BLANK,
  columnView,
  type Encode,
  type FieldView,
  fieldView,
  forField,
  noValueMarks,
  withGuide,
} from '../fieldView.ts'
import type { Interner } from '../interner.ts'
import { plainWord, readStimulus, readTick } from '../interpret/index.ts'
import type { PlannedColumn, PlannedGroup } from '../plan.ts'
import { countEncoder, durationEncoder, encoder, intensityEncoder } from './encoders.ts'
import type { TableJob } from './job.ts'
import type { SessionStore } from './sessionStore.ts'
import type { Subject } from './subject.ts'

const MEASURES = ['reps', 'seconds', 'intensity'] as const
type Measure = (typeof MEASURES)[number]

/** One exercise and side of a record: its own columns, or those the whole record shares. */
export interface SessionGroup {
  readonly always: boolean
  readonly target: number
  readonly side: number
  /** Code of a fixed stimulus, or {@link BLANK}. */
  readonly stimulus: number
  readonly views: Readonly<Record<Measure, FieldView>>
  /** Columns whose filled cell makes a row. */
  readonly own: readonly FieldView[]
}

/** What each record of a table can make a row of. */
export const sessionGroups = (job: TableJob, store: SessionStore, subject: Subject): SessionGroup[] =>
  job.plan.groups.map((group) => groupOf(job, store, subject, group))

function groupOf(job: TableJob, store: SessionStore, subject: Subject, group: PlannedGroup): SessionGroup {
  const { table, plan } = job
  const { numbers } = store
  const encoders = {
    reps: countEncoder(plan, numbers),
    seconds: durationEncoder(plan, numbers),
    intensity: intensityEncoder(plan, numbers),
  }
  const own: FieldView[] = []
  const view = (measure: Measure): FieldView => {
    const column = group.columns.find((c) => c.field === measure)
    if (column === undefined) return fieldView(table, plan, measure, encoders[measure])
    const found = cellView(job, column, encoders[measure])
    own.push(found)
    return found
  }
  const views = Object.fromEntries(MEASURES.map((m) => [m, view(m)])) as Record<Measure, FieldView>
  const fixed = subject.fixed(group)
  const stimulus =
    group.stimulus === null
      ? BLANK
      : withGuide(
          plan.rules,
          'stimulus',
          encoder(store.stimuli as Interner<Stimulus>, readStimulus),
        )(group.stimulus, null)
  return { always: group.always, ...fixed, stimulus: Math.max(stimulus, BLANK), views, own }
}

/** A cell of a diary: a tick is "done, count not written" (no number), a dash is "not done" (no row). */
function cellView({ table, plan }: TableJob, column: PlannedColumn, encode: Encode): FieldView {
  const { wide } = plan.rules
  const marks = noValueMarks(plan.rules, column.field)
  const words = {
    ...(wide?.done === undefined ? {} : { done: wide.done }),
    ...(wide?.not_done === undefined ? {} : { notDone: wide.not_done }),
  }
  const own = forField(plan.rules.words, column.field)
  const guided = withGuide(plan.rules, column.field, encode)
  return columnView(table, column, (text, planned) => {
    if (text.trim() === '' || marks.has(plainWord(text))) return BLANK
    if (own === undefined || !Object.keys(own).some((w) => plainWord(w) === plainWord(text))) {
      const tick = readTick(text, words)
      if (tick !== null) return tick ? 0 : BLANK
    }
    return guided(text, planned)
  })
}
