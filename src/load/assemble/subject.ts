import { UserError } from '../../errors.ts'
import type { Day, Reflex, Rule, Side, Target } from '../../records/index.ts'
import { isMidline, TARGETS } from '../../records/index.ts'
import { BLANK, type FieldView, fieldView, problemCode, ruleOf, withGuide } from '../fieldView.ts'
import type { DateField, Field } from '../guide/guide.ts'
import { Interner } from '../interner.ts'
import { readReflex, readSide, readTarget, type SideReading } from '../interpret/index.ts'
import type { PlannedGroup } from '../plan.ts'
import type { ClientList } from './clients.ts'
import { codeOf, type DateView, dateView, encoder, newDates, newDays } from './encoders.ts'
import type { Reckoning, TableJob } from './job.ts'

/** Codes of sides are places in this list; `both` is one line for each side. */
const SIDE_READINGS: readonly SideReading[] = ['left', 'right', 'midline', 'both']
export const LEFT = 0
export const RIGHT = 1
export const MIDLINE = 2
export const BOTH = 3
const CONTRADICTED = problemCode('unknown_value')

/** Whether a target (by its place in TARGETS) is scored midline. */
export const TARGET_IS_MIDLINE: readonly boolean[] = TARGETS.map(
  (target) => target !== 'ear_stimulation' && isMidline(target as Reflex),
)

const sides = new Interner<SideReading>(SIDE_READINGS)
const targets = new Interner<Target>(TARGETS)

/** The rows that a side code makes: both is one for each. */
const SIDES_OF: readonly (readonly Side[])[] = [['left'], ['right'], ['midline'], ['left', 'right']]
const NO_SIDES: readonly Side[] = []
const sidesOf = (code: number): readonly Side[] => SIDES_OF[code] ?? NO_SIDES

/** What a group of columns fixes ({@link BLANK} where the record tells it), and whether the record fills it. */
export interface GroupSubject {
  readonly target: number
  readonly side: number
  readonly filled: boolean
}

/** Who and when of a record, and of each of its groups what and on which sides (none where it is not filled). */
export interface RecordSubject {
  readonly client: number
  readonly day: Day
  readonly targets: readonly Target[]
  readonly sides: readonly (readonly Side[])[]
}

/** Who, what, which side and when: what every record but a client's must have. */
export class Subject {
  readonly client: FieldView
  readonly target: FieldView
  readonly side: FieldView
  readonly date: DateView
  readonly dateField: Field & DateField
  readonly targetField: 'target' | 'reflex'
  private readonly job: TableJob
  private readonly clients: ClientList
  private readonly reckoning: Reckoning

  constructor(job: TableJob, clients: ClientList, reckoning: Reckoning, dateField: Field & DateField) {
    const { table, plan } = job
    this.job = job
    this.clients = clients
    this.reckoning = reckoning
    this.dateField = dateField
    this.targetField = plan.kind === 'assessments' ? 'reflex' : 'target'
    this.client = fieldView(table, plan, 'client_id', (text, column) =>
      clients.codeOf(text, column === null ? undefined : table.headings[column.index]),
    )
    this.target = fieldView(table, plan, this.targetField, encoder(targets, this.targetReader()))
    this.side = fieldView(table, plan, 'side', encoder(sides, readSide))
    // Only a session has a time; that of each score its own would be as many readings as there are scores.
    const dates = dateField === 'done_on' ? newDates() : newDays()
    this.date = dateView(table, plan, dateField, reckoning.asOf, dates)
  }

  private targetReader(): typeof readTarget {
    return this.job.plan.kind === 'assessments' ? readReflex : readTarget
  }

  /** Target and side that a wide group fixes, as codes; {@link BLANK} where the record tells them. */
  fixed(group: PlannedGroup): { readonly target: number; readonly side: number } {
    const one = (text: string | null, field: Field, encode: (text: string) => number): number => {
      if (text === null) return BLANK
      const code = withGuide(this.job.plan.rules, field, encode)(text, null)
      if (code >= 0) return code
      throw new UserError(
        `The reading guide gives ${field} "${text}" to a column of ${this.job.table.file}, which is not a ${field} of ours.`,
      )
    }
    return {
      target: one(group.target, this.targetField, (text) => codeOf(targets, this.targetReader()(text))),
      side: one(group.side, 'side', (text) => codeOf(sides, readSide(text))),
    }
  }

  /**
   * Client, day, and target and side of each group that is filled; null after the record was rejected, for the first of
   * shape, client, target, side and date that is wrong.
   */
  of(row: number, groups: readonly GroupSubject[]): RecordSubject | null {
    const ragged = this.job.table.ragged.get(row)
    if (ragged !== undefined) {
      this.reckoning.log.reject(this.job, row, '', ragged, 'ragged_row')
      return null
    }
    const client = this.client.at(row)
    if (client < 0) return this.reject(row, 'client_id', this.client, client)
    const own = groups.some((group) => group.target === BLANK) ? this.target.at(row) : 0
    if (own < 0) return this.reject(row, this.targetField, this.target, own)
    const targets: Target[] = []
    const sides: (readonly Side[])[] = []
    for (const group of groups) {
      const target = group.target === BLANK ? own : group.target
      const side = group.filled ? this.sideOf(row, target, group.side) : BLANK
      if (side < 0 && group.filled) return this.reject(row, 'side', this.side, side)
      targets.push(TARGETS[target] as Target)
      sides.push(sidesOf(side))
    }
    const { code, day } = this.dayOf(row, client)
    if (code < 0) return this.reject(row, this.dateField, this.date, code)
    return { client, day, targets, sides }
  }

  /**
   * The side of a record: blank is midline at a midline reflex and missing elsewhere. Where a column is about one side, and
   * the record says that it is about another, nobody knows which.
   */
  sideOf(row: number, target: number, fixedSide: number): number {
    const code = this.side.at(row)
    if (fixedSide !== BLANK) return code < 0 || code === fixedSide || code === BOTH ? fixedSide : CONTRADICTED
    return code === BLANK && TARGET_IS_MIDLINE[target] === true ? MIDLINE : code
  }

  /** Rejects the record for what a field holds (or does not hold). */
  reject(row: number, field: Field, view: FieldView, code: number): null {
    const rule: Rule = code === BLANK ? 'missing_value' : ruleOf(code)
    this.reckoning.log.reject(this.job, row, field, view.text(row), rule)
    return null
  }

  /** The day of a record, or the code of what is wrong with it. */
  dayOf(row: number, client: number): { readonly code: number; readonly day: Day } {
    const code = this.date.at(row)
    if (code < 0) return { code, day: 0 }
    const day = this.date.readings.values[code]!.day
    const birth = this.clients.births[client]
    if (birth !== null && birth !== undefined && day < birth)
      return { code: problemCode('date_before_birth'), day }
    return { code, day }
  }
}
