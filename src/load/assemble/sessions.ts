import type { Stimulus } from '../../records/index.ts'
import { BLANK, type FieldView, fieldView, problemCode, ruleOf } from '../fieldView.ts'
import type { Field } from '../guide/guide.ts'
import type { Interner } from '../interner.ts'
import { readDoneBy, readReaction, readStimulus } from '../interpret/index.ts'
import type { ClientList } from './clients.ts'
import { encoder, timeView } from './encoders.ts'
import { freeText } from './freeText.ts'
import { type Reckoning, recordOfRow, type TableJob } from './job.ts'
import { PLAIN_BLOCK, PlainSessions } from './plainSessions.ts'
import { type SessionGroup, sessionGroups } from './sessionGroups.ts'
import { AT, FIELD_COUNT, type SessionStore } from './sessionStore.ts'
import { BOTH, Subject } from './subject.ts'
import type { UnreadReactions } from './unreadReactions.ts'

/** A date's time that cannot be read. */
const BAD_TIME = -2
const UNREADABLE_TIME = problemCode('unreadable_date')

/** Reads the sessions of one table into the store. */
export class SessionReader {
  private readonly job: TableJob
  private readonly store: SessionStore
  private readonly clients: ClientList
  private readonly reckoning: Reckoning
  private readonly unread: UnreadReactions
  private readonly subject: Subject
  private readonly groups: readonly SessionGroup[]
  private readonly time: FieldView
  private readonly stimulus: FieldView
  private readonly doneBy: FieldView
  private readonly reaction: FieldView
  private readonly note: (row: number) => number
  private readonly recordId: (row: number) => number
  /** Day reading number → code of its day, and of its time (0 none, {@link BAD_TIME} unreadable). */
  private readonly dayCodes: Int32Array
  private readonly timeCodes: Int32Array
  /** Rows of the record at hand, and its emptied fields. */
  private pending = new Int32Array(FIELD_COUNT * 16)
  private pendingRows = 0
  private readonly emptied: { row: number; field: Field; view: FieldView; code: number }[] = []

  constructor(
    job: TableJob,
    store: SessionStore,
    clients: ClientList,
    reckoning: Reckoning,
    unread: UnreadReactions,
  ) {
    const { table, plan } = job
    this.job = job
    this.store = store
    this.clients = clients
    this.reckoning = reckoning
    this.unread = unread
    this.subject = new Subject(job, clients, reckoning, 'done_on')
    this.time = timeView(table, plan, store.times)
    this.stimulus = fieldView(
      table,
      plan,
      'stimulus',
      encoder(store.stimuli as Interner<Stimulus>, readStimulus),
    )
    this.doneBy = fieldView(table, plan, 'done_by', encoder(store.doneBy, readDoneBy))
    this.reaction = fieldView(table, plan, 'reaction', encoder(store.reactions, readReaction))
    this.note = freeText(job, 'note', store.notes)
    this.recordId = freeText(job, 'record_id', store.recordIds)
    this.groups = sessionGroups(job, store, this.subject)
    const readings = this.subject.date.readings.values
    this.dayCodes = Int32Array.from(readings, (r) => store.days.codeOf(r.day))
    this.timeCodes = Int32Array.from(readings, (r) => (r.badTime ? BAD_TIME : store.times.codeOf(r.time)))
  }

  /** Reads every record; kept rows go to the store. */
  read(): void {
    const { table } = this.job
    this.store.begin(this.job)
    const plain = this.plainSessions()
    if (plain !== null) this.readPlain(plain)
    else for (let row = 0; row < table.length; ) row = this.readRecord(row)
  }

  /** Reads one record; returns where the next begins. */
  private readRecord(row: number): number {
    const end = this.endOfRecord(row)
    this.pendingRows = 0
    let good = true
    for (let r = row; r < end && good; r++) good = this.readRow(r)
    if (good) this.keep(row)
    else this.emptied.length = 0
    return end
  }

  /** Blocks of rows column by column; rows with anything to tell one by one, in their place. */
  private readPlain(plain: PlainSessions): void {
    const { job, store } = this
    const { length, ragged } = job.table
    for (let first = 0; first < length; first += PLAIN_BLOCK) {
      const end = Math.min(length, first + PLAIN_BLOCK)
      plain.fill(first, end)
      if (ragged.size > 0)
        for (let row = first; row < end; row++) if (ragged.has(row)) plain.odd[row - first] = 1
      for (let from = first; from < end; ) {
        const met = plain.odd.indexOf(1, from - first)
        const to = met < 0 ? end : Math.min(end, first + met)
        store.addColumns(plain.block, PLAIN_BLOCK, from - first, to - first, from, plain.largest)
        job.kept += to - from
        job.rows += to - from
        from = to < end ? this.readRecord(to) : end
      }
    }
  }

  /** Null for a table whose records make several rows, or rows by column. */
  private plainSessions(): PlainSessions | null {
    const [group, ...others] = this.groups
    if (this.job.table.recordOf !== undefined || group === undefined || others.length > 0 || !group.always)
      return null
    if (group.target !== BLANK || group.side !== BLANK || group.stimulus !== BLANK) return null
    const { subject, stimulus, doneBy, reaction } = this
    const [reps, seconds, intensity] = group.measures as readonly [FieldView, FieldView, FieldView]
    return new PlainSessions({
      client: subject.client,
      target: subject.target,
      side: subject.side,
      date: subject.date,
      time: this.time,
      optional: [
        { at: AT.stimulus, view: stimulus },
        { at: AT.reps, view: reps },
        { at: AT.seconds, view: seconds },
        { at: AT.intensity, view: intensity },
        { at: AT.doneBy, view: doneBy },
        { at: AT.reaction, view: reaction },
      ],
      note: this.note,
      recordId: this.recordId,
      days: subject.date.readings.values.map((r) => r.day),
      dayCodes: this.dayCodes,
      timeCodes: this.timeCodes,
      births: Float64Array.from(this.clients.births, (day) => day ?? Number.NEGATIVE_INFINITY),
    })
  }

  private endOfRecord(row: number): number {
    const { recordOf, length } = this.job.table
    if (recordOf === undefined) return row + 1
    let end = row + 1
    while (end < length && recordOf[end] === recordOf[row]) end++
    return end
  }

  private keep(row: number): void {
    this.job.kept++
    this.job.rows += this.pendingRows
    for (let k = 0; k < this.pendingRows; k++) this.store.add(this.pending, k * FIELD_COUNT, row, k > 0)
    if (this.emptied.length === 0) return
    for (const { row: at, field, view, code } of this.emptied) {
      this.reckoning.log.add(this.job, at, field, view.text(at), ruleOf(code), 'emptied')
      if (field === 'reaction') this.noteReaction(at, 'unreadable')
    }
    this.emptied.length = 0
  }

  /** False when the record was rejected. */
  private readRow(row: number): boolean {
    const { job, subject, groups } = this
    if (job.table.ragged.size > 0) {
      const ragged = job.table.ragged.get(row)
      if (ragged !== undefined) {
        this.reckoning.log.reject(job, row, '', ragged, 'ragged_row')
        return false
      }
    }
    const client = subject.client.at(row)
    if (client < 0) return this.refuse(row, 'client_id', subject.client, client)
    const ownTarget = groups.some((g) => g.target === BLANK) ? subject.target.at(row) : 0
    if (ownTarget < 0) return this.refuse(row, 'target', subject.target, ownTarget)
    const firstRow = this.pendingRows
    for (const group of groups) {
      const target = group.target === BLANK ? ownTarget : group.target
      if (!group.always && group.own.every((view) => view.at(row) === BLANK)) continue
      const side = subject.sideOf(row, target, group.side)
      if (side < 0) return this.refuse(row, 'side', subject.side, side)
      this.push(row, client, target, side, group)
    }
    return this.setDay(row, client, firstRow)
  }

  /** The date comes last: it is judged after client, target and side. */
  private setDay(row: number, client: number, firstRow: number): boolean {
    const { subject, pending } = this
    const { code } = subject.dayOf(row, client)
    if (code < 0) return this.refuse(row, 'done_on', subject.date, code)
    let time = this.time.at(row)
    if (time < BLANK) {
      this.emptied.push({ row, field: 'done_at', view: this.time, code: time })
      time = 0
    } else if (time === BLANK) {
      time = this.timeCodes[code] as number
      if (time === BAD_TIME) {
        this.emptied.push({ row, field: 'done_at', view: subject.date, code: UNREADABLE_TIME })
        time = 0
      }
    }
    for (let k = firstRow; k < this.pendingRows; k++) {
      pending[k * FIELD_COUNT + AT.day] = this.dayCodes[code] as number
      pending[k * FIELD_COUNT + AT.time] = time
    }
    return true
  }

  private push(row: number, client: number, target: number, side: number, group: SessionGroup): void {
    const first = this.pendingRows * FIELD_COUNT
    if (first + 2 * FIELD_COUNT > this.pending.length) {
      const grown = new Int32Array(this.pending.length * 2)
      grown.set(this.pending)
      this.pending = grown
    }
    const { pending } = this
    pending[first + AT.client] = client
    pending[first + AT.target] = target
    pending[first + AT.side] = side === BOTH ? 0 : side
    pending[first + AT.stimulus] =
      group.stimulus === BLANK ? this.optional(row, 'stimulus', this.stimulus) : group.stimulus
    pending[first + AT.reps] = this.optional(row, 'reps', group.measures[0] as FieldView)
    pending[first + AT.seconds] = this.optional(row, 'seconds', group.measures[1] as FieldView)
    pending[first + AT.intensity] = this.optional(row, 'intensity', group.measures[2] as FieldView)
    pending[first + AT.doneBy] = this.optional(row, 'done_by', this.doneBy)
    pending[first + AT.reaction] = this.optional(row, 'reaction', this.reaction)
    pending[first + AT.note] = this.note(row)
    pending[first + AT.recordId] = this.recordId(row)
    this.pendingRows++
    if (side !== BOTH) return
    pending.copyWithin(first + FIELD_COUNT, first, first + FIELD_COUNT)
    pending[first + FIELD_COUNT + AT.side] = 1
    this.pendingRows++
  }

  /** The code of a field that a session can do without: 0 is null, for blanks and for what cannot be read. */
  private optional(row: number, field: Field, view: FieldView): number {
    const code = view.at(row)
    if (code >= 0) return code
    if (code !== BLANK && !this.emptied.some((e) => e.view === view && e.row === row))
      this.emptied.push({ row, field, view, code })
    return 0
  }

  private refuse(row: number, field: Field, view: FieldView, code: number): false {
    this.subject.reject(row, field, view, code)
    this.noteReaction(row, 'session rejected')
    return false
  }

  /** Notes the reaction of a record that was rejected because another contradicts it. */
  noteConflict(row: number): void {
    this.noteReaction(row, 'session rejected')
  }

  private noteReaction(row: number, why: 'unreadable' | 'session rejected'): void {
    const code = this.reaction.at(row)
    if (code === BLANK || (code >= 0 && this.store.reactions.values[code] === 'none')) return
    const client = this.subject.client.at(row)
    const date = this.subject.date.at(row)
    this.unread.add({
      file: this.job.table.file,
      record: recordOfRow(this.job.table, row) + 1,
      value: this.reaction.text(row),
      why,
      client_id: client === BLANK ? null : this.subject.client.text(row),
      done_on: date < 0 ? null : (this.subject.date.readings.values[date]?.day ?? null),
    })
  }
}
