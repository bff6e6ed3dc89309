import type { Assessment, Reflex, Side } from '../../records/index.ts'
import { BLANK, type Encode, type FieldView, fieldView, problemCode } from '../fieldView.ts'
import { Interner } from '../interner.ts'
import { readNumber, readScore, type ScoreReading } from '../interpret/index.ts'
import type { PlannedGroup } from '../plan.ts'
import type { ClientList } from './clients.ts'
import { encoder, groupColumnView } from './encoders.ts'
import type { FoundRow, FoundRows } from './foundRows.ts'
import { type Reckoning, recordOfRow, type TableJob } from './job.ts'
import { Subject } from './subject.ts'

/** The top of the scale where nothing tells it. */
const USUAL_SCALE = 4

interface ScoreColumn {
  /** Codes of what the column fixes, {@link BLANK} where the record tells it. */
  readonly target: number
  readonly side: number
  readonly always: boolean
  readonly view: FieldView
  readonly headingScale: number | null
}

type FilledColumn = ScoreColumn & { readonly filled: boolean }
const isFilled = (column: ScoreColumn): FilledColumn => ({ ...column, filled: true })

/** The text of a field, null where it is blank. */
function textOf(view: FieldView, row: number, texts: Interner<string>): string | null {
  const code = view.at(row)
  return code < 0 ? null : (texts.values[code] as string)
}

/** Adds the scores of one table. */
export const readAssessments = (
  job: TableJob,
  clients: ClientList,
  reckoning: Reckoning,
  found: FoundRows<Assessment>,
): void => {
  const reader = new AssessmentReader(job, clients, reckoning)
  readRecords(job, found, (row) => reader.readRow(row))
}

class AssessmentReader {
  private readonly job: TableJob
  private readonly clients: ClientList
  private readonly subject: Subject
  private readonly scores = new Interner<ScoreReading>(
    [],
    (s) => `${s.score}/${s.scale}${s.percent === true ? '%' : ''}`,
  )
  private readonly scales = new Interner<number>()
  private readonly texts = new Interner<string>()
  private readonly scale: FieldView
  private readonly rater: FieldView
  private readonly recordId: FieldView
  private readonly columns: readonly ScoreColumn[]
  /** The columns where all are always filled, so that each record need not be asked. */
  private readonly alwaysFilled: readonly FilledColumn[] | null
  /** Paired columns of one reflex (left, right): a record with none filled lacks its score. */
  private readonly paired: boolean

  constructor(job: TableJob, clients: ClientList, reckoning: Reckoning) {
    const { table, plan } = job
    this.job = job
    this.clients = clients
    this.subject = new Subject(job, clients, reckoning, 'assessed_on')
    const decimal = plan.rules.decimal === undefined ? {} : { decimal: plan.rules.decimal }
    this.scale = fieldView(
      table,
      plan,
      'scale_max',
      encoder(this.scales, (text) => readNumber(text, decimal)),
    )
    this.rater = fieldView(table, plan, 'rater_id', (text) => this.texts.codeOf(text))
    this.recordId = fieldView(table, plan, 'record_id', (text) => this.texts.codeOf(text))
    const encodeScore = encoder(this.scores, (text) => readScore(text, decimal))
    this.columns = plan.groups.flatMap((group) => this.columnsOf(group, encodeScore))
    this.alwaysFilled = this.columns.every((c) => c.always) ? this.columns.map(isFilled) : null
    this.paired = plan.groups.every((group) => !group.always && group.target === null)
  }

  private columnsOf(group: PlannedGroup, encode: Encode): ScoreColumn[] {
    const { table, plan } = this.job
    const fixed = this.subject.fixed(group)
    if (group.always) {
      const headingScale = plan.columns.get('score')?.find((c) => c.scale !== null)?.scale ?? null
      return [{ ...fixed, always: true, view: fieldView(table, plan, 'score', encode), headingScale }]
    }
    return group.columns.map((column) => ({
      ...fixed,
      always: false,
      view: groupColumnView(table, plan, column, encode),
      headingScale: column.scale,
    }))
  }

  /** The rows of one record, or null after it was rejected. */
  readRow(row: number): FoundRow<Assessment>[] | null {
    const { columns, subject, texts } = this
    const filled =
      this.alwaysFilled ?? columns.map((c) => ({ ...c, filled: c.always || c.view.at(row) !== BLANK }))
    const record = subject.of(row, filled)
    if (record === null) return null
    const rater_id = textOf(this.rater, row, texts)
    const recordId = textOf(this.recordId, row, texts)
    const rows: FoundRow<Assessment>[] = []
    for (let k = 0; k < filled.length; k++) {
      const column = filled[k]!
      if (!column.filled) continue
      const judged = this.judge(row, column)
      if (judged === null) return null
      for (const side of record.sides[k] as readonly Side[])
        rows.push({
          value: {
            client_id: this.clients.ids.values[record.client] as string,
            assessed_on: record.day,
            reflex: record.targets[k] as Reflex,
            side,
            ...judged,
            rater_id,
          },
          recordId,
        })
    }
    if (rows.length > 0 || !this.paired) return rows
    return subject.reject(row, 'score', columns[0]?.view ?? subject.client, BLANK)
  }

  /** Score and scale of a cell that lies on its scale, or null after the record was rejected. */
  private judge(
    row: number,
    { view, headingScale }: ScoreColumn,
  ): Pick<Assessment, 'score' | 'scale_max'> | null {
    const { subject, scale, scales } = this
    const code = view.at(row)
    if (code < 0) return subject.reject(row, 'score', view, code)
    const { score, scale: written, percent } = this.scores.values[code] as ScoreReading
    const scaleCode = scale.at(row)
    const column = scaleCode < 0 ? null : (scales.values[scaleCode] as number)
    if (scaleCode < BLANK) return subject.reject(row, 'scale_max', scale, scaleCode)
    if (column !== null && column <= 0)
      return subject.reject(row, 'scale_max', scale, problemCode('unreadable_number'))
    const told = column ?? headingScale ?? this.job.plan.rules.scale ?? null
    // A percentage is a score only where something else says that the scale goes to 100.
    if (written !== null && told !== written && (told !== null || percent === true))
      return subject.reject(row, 'score', view, problemCode('unreadable_number'))
    const scale_max = told ?? written ?? USUAL_SCALE
    if (score < 0 || score > scale_max)
      return subject.reject(row, 'score', view, problemCode('score_out_of_range'))
    return { score, scale_max }
  }
}

/** Adds the rows of every record that stands: all of its raw rows must be good. A good record without rows is kept as it is. */
export function readRecords<T>(
  job: TableJob,
  found: FoundRows<T>,
  readRow: (row: number) => readonly FoundRow<T>[] | null,
): void {
  const { table } = job
  found.begin(job)
  for (let row = 0; row < table.length; ) {
    const record = recordOfRow(table, row)
    const before = found.length
    let good = true
    for (; row < table.length && recordOfRow(table, row) === record; row++) {
      const read = good ? readRow(row) : null
      if (read === null) good = false
      else for (const one of read) found.add(one, row)
    }
    if (!good) found.cut(before)
    else if (found.length === before) job.kept++
  }
}
