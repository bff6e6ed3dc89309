import type { UnreadReaction } from '../../records/index.ts'
import { BLANK, type FieldView, problemCode, ruleOf } from '../fieldView.ts'
import type { Field } from '../guide/guide.ts'
import type { ClientList } from './clients.ts'
import type { Reckoning, TableJob } from './job.ts'
import { PendingRows } from './pendingRows.ts'
import { PLAIN_BLOCK, PlainSessions } from './plainSessions.ts'
import { type SessionFields, sessionFields, UNREADABLE_TIME_OF_DATE } from './sessionFields.ts'
import type { SessionGroup } from './sessionGroups.ts'
import { AT, FIELD_COUNT, type SessionStore } from './sessionStore.ts'
import { BOTH, LEFT, RIGHT } from './subject.ts'
import { unreadReaction } from './unreadReactions.ts'

/** Codes of "no value" in the store, for every field that a session can do without. */
const NONE = 0
const UNREADABLE_TIME = problemCode('unreadable_date')

/** Reads the sessions of one table into the store. */
export class SessionReader {
  private readonly job: TableJob
  private readonly store: SessionStore
  private readonly clients: ClientList
  private readonly reckoning: Reckoning
  private readonly unread: UnreadReaction[]
  private readonly fields: SessionFields
  /** Rows of the record at hand, and its fields that could not be read. */
  private readonly pending = new PendingRows()
  private readonly emptied: { row: number; field: Field; view: FieldView; code: number }[] = []

  constructor(
    job: TableJob,
    store: SessionStore,
    clients: ClientList,
    reckoning: Reckoning,
    unread: UnreadReaction[],
  ) {
    this.job = job
    this.store = store
    this.clients = clients
    this.reckoning = reckoning
    this.unread = unread
    this.fields = sessionFields(job, store, clients, reckoning)
  }

  /** Reads every record; kept rows go to the store. */
  read(): void {
    const { table } = this.job
    this.store.begin(this.job)
    const plain = PlainSessions.of(table, this.fields, this.clients)
    if (plain !== null) this.readPlain(plain)
    else for (let row = 0; row < table.length; ) row = this.readRecord(row)
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

  /** Reads one record, all of whose rows must be good; returns where the next begins. */
  private readRecord(row: number): number {
    const end = this.endOfRecord(row)
    this.pending.clear()
    let good = true
    for (let r = row; r < end && good; r++) good = this.readRow(r)
    if (good) this.keep(row)
    this.emptied.length = 0
    return end
  }

  private endOfRecord(row: number): number {
    const { recordOf, length } = this.job.table
    let end = row + 1
    if (recordOf !== undefined) while (end < length && recordOf[end] === recordOf[row]) end++
    return end
  }

  private keep(row: number): void {
    const { job, store, pending } = this
    job.kept++
    job.rows += pending.length
    for (let k = 0; k < pending.length; k++) store.add(pending.codes, k * FIELD_COUNT, row, k > 0)
    for (const { row: at, field, view, code } of this.emptied) {
      this.reckoning.log.add(job, at, field, view.text(at), ruleOf(code), 'emptied')
      if (field === 'reaction') this.noteReaction(at, 'unreadable')
    }
  }

  /**
   * Adds the rows that one raw row makes; false when the record was rejected, for the first that is wrong in the order of
   * `Subject.of`, which makes lists and objects that would be too dear for each of millions of sessions.
   */
  private readRow(row: number): boolean {
    const { job, pending } = this
    const { subject, groups } = this.fields
    const ragged = job.table.ragged.size > 0 ? job.table.ragged.get(row) : undefined
    if (ragged !== undefined) {
      this.reckoning.log.reject(job, row, '', ragged, 'ragged_row')
      return false
    }
    const client = subject.client.at(row)
    if (client < 0) return this.refuse(row, 'client_id', subject.client, client)
    const ownTarget = groups.some((g) => g.target === BLANK) ? subject.target.at(row) : 0
    if (ownTarget < 0) return this.refuse(row, 'target', subject.target, ownTarget)
    const firstRow = pending.length
    for (const group of groups) {
      const target = group.target === BLANK ? ownTarget : group.target
      if (!group.always && group.own.every((view) => view.at(row) === BLANK)) continue
      const side = subject.sideOf(row, target, group.side)
      if (side < 0) return this.refuse(row, 'side', subject.side, side)
      this.addRow(row, client, target, side, group)
    }
    const { code } = subject.dayOf(row, client)
    if (code < 0) return this.refuse(row, 'done_on', subject.date, code)
    pending.date(firstRow, this.fields.dayCodes[code] as number, this.timeOf(row, code))
    return true
  }

  /** The code of a session's time: its own, else the one that stands beside its date. */
  private timeOf(row: number, date: number): number {
    const { time, timeCodes, subject } = this.fields
    const own = time.at(row)
    if (own >= 0) return own
    const beside = timeCodes[date] as number
    if (own === BLANK && beside !== UNREADABLE_TIME_OF_DATE) return beside
    this.emptied.push(
      own === BLANK
        ? { row, field: 'done_at', view: subject.date, code: UNREADABLE_TIME }
        : { row, field: 'done_at', view: time, code: own },
    )
    return NONE
  }

  /** Adds one row, or one for each side, of which only day and time are still to come. */
  private addRow(row: number, client: number, target: number, side: number, group: SessionGroup): void {
    const { fields, pending } = this
    const at = pending.begin()
    const { codes } = pending
    codes[at + AT.client] = client
    codes[at + AT.target] = target
    codes[at + AT.side] = side === BOTH ? LEFT : side
    codes[at + AT.stimulus] =
      group.stimulus === BLANK ? this.optional(row, 'stimulus', fields.stimulus) : group.stimulus
    codes[at + AT.reps] = this.optional(row, 'reps', group.views.reps)
    codes[at + AT.seconds] = this.optional(row, 'seconds', group.views.seconds)
    codes[at + AT.intensity] = this.optional(row, 'intensity', group.views.intensity)
    codes[at + AT.doneBy] = this.optional(row, 'done_by', fields.doneBy)
    codes[at + AT.reaction] = this.optional(row, 'reaction', fields.reaction)
    codes[at + AT.note] = fields.note(row)
    codes[at + AT.recordId] = fields.recordId(row)
    if (side === BOTH) pending.repeat(RIGHT)
  }

  /** The code of a field that a session can do without: none for a blank, and for what cannot be read, which is noted. */
  private optional(row: number, field: Field, view: FieldView): number {
    const code = view.at(row)
    if (code >= 0) return code
    if (code !== BLANK && !this.emptied.some((e) => e.view === view && e.row === row))
      this.emptied.push({ row, field, view, code })
    return NONE
  }

  private refuse(row: number, field: Field, view: FieldView, code: number): false {
    this.fields.subject.reject(row, field, view, code)
    this.noteReaction(row, 'session rejected')
    return false
  }

  /** Notes the reaction of a record that was rejected because another contradicts it. */
  noteConflict(row: number): void {
    this.noteReaction(row, 'session rejected')
  }

  private noteReaction(row: number, why: 'unreadable' | 'session rejected'): void {
    const found = unreadReaction(this.job, this.fields, this.store, row, why)
    if (found !== null) this.unread.push(found)
  }
}
