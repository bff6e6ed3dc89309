import { type Assessment, type Reflex, TARGETS } from '../../records/index.ts'
import { BLANK, type FieldView, fieldView, problemCode } from '../fieldView.ts'
import { Interner } from '../interner.ts'
import { readNumber, readScore, type ScoreReading } from '../interpret/index.ts'
import type { PlannedGroup } from '../plan.ts'
import type { ClientList } from './clients.ts'
import { encoder, groupColumnView } from './encoders.ts'
import { type Reckoning, recordOfRow, type TableJob } from './job.ts'
import { BOTH, Subject, sideName } from './subject.ts'

/** The top of the scale where nothing tells it. */
const USUAL_SCALE = 4

/** A row that may stand, with its record. */
export interface Candidate<T> {
  readonly value: T
  readonly job: TableJob
  readonly row: number
  /** The source's own number of the record; null where it has none. */
  readonly recordId: string | null
}

interface ScoreColumn {
  readonly fixed: { readonly target: number; readonly side: number }
  readonly always: boolean
  readonly view: FieldView
  readonly headingScale: number | null
}

/** The scores of one table. */
export function readAssessments(
  job: TableJob,
  clients: ClientList,
  reckoning: Reckoning,
): Candidate<Assessment>[] {
  const { table, plan } = job
  const subject = new Subject(job, clients, reckoning, 'assessed_on')
  const decimal = plan.rules.decimal === undefined ? {} : { decimal: plan.rules.decimal }
  const scores = new Interner<ScoreReading>([], (s) => `${s.score}/${s.scale}`)
  const scales = new Interner<number>()
  const texts = new Interner<string>()
  const encodeScore = encoder(scores, (text) => readScore(text, decimal))
  const scale = fieldView(
    table,
    plan,
    'scale_max',
    encoder(scales, (text) => readNumber(text, decimal)),
  )
  const rater = fieldView(table, plan, 'rater_id', (text) => texts.codeOf(text))
  const recordId = fieldView(table, plan, 'record_id', (text) => texts.codeOf(text))
  const columns = plan.groups.flatMap((group): ScoreColumn[] => {
    const fixed = subject.fixed(group)
    if (group.always) {
      const headingScale = plan.columns.get('score')?.find((c) => c.scale !== null)?.scale ?? null
      return [{ fixed, always: true, view: fieldView(table, plan, 'score', encodeScore), headingScale }]
    }
    return group.columns.map((column) => ({
      fixed,
      always: false,
      view: groupColumnView(table, plan, column, encodeScore),
      headingScale: column.scale,
    }))
  })
  const paired = isPaired(plan.groups)

  const readRow = (row: number): Candidate<Assessment>[] | null => {
    const ragged = table.ragged.get(row)
    if (ragged !== undefined) {
      reckoning.log.reject(job, row, '', ragged, 'ragged_row')
      return null
    }
    const client = subject.client.at(row)
    if (client < 0) return refuse(row, 'client_id', subject.client, client)
    const targets = columns.map((c) => (c.fixed.target === BLANK ? subject.target.at(row) : c.fixed.target))
    for (const target of targets) if (target < 0) return refuse(row, 'reflex', subject.target, target)
    const sides = columns.map((c, k) => subject.sideOf(row, targets[k] as number, c.fixed.side))
    for (const side of sides) if (side < 0) return refuse(row, 'side', subject.side, side)
    const { code, day } = subject.dayOf(row, client)
    if (code < 0) return refuse(row, 'assessed_on', subject.date, code)
    const rows: Candidate<Assessment>[] = []
    for (const [k, column] of columns.entries()) {
      const scoreCode = column.view.at(row)
      if (scoreCode === BLANK && !column.always) continue
      const judged = judge(row, column, scoreCode)
      if (judged === null) return null
      for (const side of (sides[k] as number) === BOTH ? [0, 1] : [sides[k] as number])
        rows.push({
          value: {
            client_id: clients.ids.values[client] as string,
            assessed_on: day,
            reflex: TARGETS[targets[k] as number] as Reflex,
            side: sideName(side),
            ...judged,
            rater_id: rater.at(row) < 0 ? null : (texts.values[rater.at(row)] as string),
          },
          job,
          row,
          recordId: recordId.at(row) < 0 ? null : (texts.values[recordId.at(row)] as string),
        })
    }
    if (rows.length === 0 && paired) return refuse(row, 'score', columns[0]?.view ?? subject.client, BLANK)
    return rows
  }

  const refuse = (
    row: number,
    field: Parameters<Subject['reject']>[1],
    view: FieldView,
    code: number,
  ): null => {
    subject.reject(row, field, view, code)
    return null
  }

  /** Score and scale of a cell that lies on its scale, or null after the record was rejected. */
  const judge = (
    row: number,
    column: ScoreColumn,
    code: number,
  ): Pick<Assessment, 'score' | 'scale_max'> | null => {
    if (code < 0) return refuse(row, 'score', column.view, code)
    const { score, scale: written } = scores.values[code] as ScoreReading
    const scaleCode = scale.at(row)
    if (scaleCode < BLANK || (scaleCode >= 0 && (scales.values[scaleCode] as number) <= 0))
      return refuse(row, 'scale_max', scale, scaleCode < 0 ? scaleCode : problemCode('unreadable_number'))
    const told =
      scaleCode >= 0
        ? (scales.values[scaleCode] as number)
        : (column.headingScale ?? plan.rules.scale ?? null)
    if (told !== null && written !== null && told !== written)
      return refuse(row, 'score', column.view, problemCode('unreadable_number'))
    const scale_max = told ?? written ?? USUAL_SCALE
    if (score < 0 || score > scale_max)
      return refuse(row, 'score', column.view, problemCode('score_out_of_range'))
    return { score, scale_max }
  }

  return readRecords(job, readRow)
}

/** The rows of every record that stands: all of its raw rows must be good. A good record without rows is kept as it is. */
export function readRecords<T>(
  job: TableJob,
  readRow: (row: number) => readonly Candidate<T>[] | null,
): Candidate<T>[] {
  const { table } = job
  const found: Candidate<T>[] = []
  for (let row = 0; row < table.length; ) {
    const record = recordOfRow(table, row)
    const rows: Candidate<T>[] = []
    let good = true
    for (; row < table.length && recordOfRow(table, row) === record; row++) {
      const read = good ? readRow(row) : null
      if (read === null) good = false
      else rows.push(...read)
    }
    if (!good) continue
    if (rows.length === 0) job.kept++
    found.push(...rows)
  }
  return found
}

/** Paired columns of one reflex (left, right): a record with none filled lacks its score. */
const isPaired = (groups: readonly PlannedGroup[]): boolean =>
  groups.every((group) => !group.always && group.target === null)
