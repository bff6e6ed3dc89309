import { UserError } from '../errors.ts'
import { type Day, formatDay, parseDay, type Records } from '../records/index.ts'

/**
 * The as-of day, where it is one.
 * @throws UserError for a text or anything else that is no {@link Day}: a caller without types would get a RangeError from deep within
 */
export function checkedAsOf(asOf: unknown): void {
  if (asOf === undefined || (typeof asOf === 'number' && Number.isInteger(asOf))) return
  const written = typeof asOf === 'string' ? `'${asOf}'` : String(asOf)
  throw new UserError(
    `asOf is a day, which is a whole number (days since 1970-01-01), and not ${written}. Make one with parseDay('${typeof asOf === 'string' && parseDay(asOf) !== null ? asOf : '2026-06-30'}').`,
  )
}

/** Fewer clients than this on a day might be a slip of the pen in one file. */
const CLIENTS_THAT_PROVE_A_DAY = 3

/** The error for a report without its day: it names the day that is probably meant, and leaves the choice to a person. */
export function asOfMissing(records: Records): UserError {
  const day = latestSharedDay(records)
  const hint =
    day === null
      ? noSharedDay(records)
      : `The latest day on which three or more clients have records is ${formatDay(day)}: --as-of ${formatDay(day)} if that is the day you mean.`
  return new UserError(`The day the report is made for is not given (--as-of YYYY-MM-DD). ${hint}`, {
    ofInput: true,
  })
}

function noSharedDay(records: Records): string {
  if (records.assessments.length + records.sessions.length === 0)
    return 'No score and no session was understood, so no day can be named either: "waneline read FOLDER --suggest-guide" drafts what a reading guide has to say about the files.'
  const none = 'No day has records of three or more clients.'
  const last = records.clients.length < CLIENTS_THAT_PROVE_A_DAY ? latestSharedDay(records, 1) : null
  return last === null
    ? none
    : `${none} The last of what there is is of ${formatDay(last)}: --as-of ${formatDay(last)} if that is the day you mean.`
}

function latestSharedDay(
  { assessments, sessions }: Records,
  fewest: number = CLIENTS_THAT_PROVE_A_DAY,
): Day | null {
  const clients = new Map<Day, Set<string>>()
  const see = (day: Day, client: string): void => {
    const seen = clients.get(day) ?? new Set<string>()
    clients.set(day, seen)
    if (seen.size < fewest) seen.add(client)
  }
  for (const { assessed_on, client_id } of assessments) see(assessed_on, client_id)
  const { done_on, client_id } = sessions
  for (let i = 0; i < sessions.length; i++)
    see(
      done_on.values[done_on.codes[i] as number] as Day,
      client_id.values[client_id.codes[i] as number] as string,
    )
  let latest: Day | null = null
  for (const [day, seen] of clients)
    if (seen.size >= fewest && (latest === null || day > latest)) latest = day
  return latest
}
