import type { UnreadReaction } from '../../records/index.ts'
import { BLANK } from '../fieldView.ts'
import { recordOfRow, type TableJob } from './job.ts'
import type { SessionFields } from './sessionFields.ts'
import type { SessionStore } from './sessionStore.ts'

/**
 * What a record of a session says of a reaction, where that came into no table: a person must look at it. Null where the
 * record says nothing of one, or that there was none.
 */
export function unreadReaction(
  { table }: TableJob,
  { subject, reaction, days }: SessionFields,
  { reactions }: SessionStore,
  row: number,
  why: UnreadReaction['why'],
): UnreadReaction | null {
  const code = reaction.at(row)
  if (code === BLANK || (code >= 0 && reactions.values[code] === 'none')) return null
  const date = subject.date.at(row)
  return {
    file: table.file,
    record: recordOfRow(table, row) + 1,
    value: reaction.text(row),
    why,
    client_id: subject.client.at(row) === BLANK ? null : subject.client.text(row),
    done_on: date < 0 ? null : (days[date] ?? null),
  }
}
