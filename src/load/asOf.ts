import { UserError } from '../errors.ts'
import { type Day, formatDay, type Records } from '../records/index.ts'

/** Fewer clients than this on a day might be a slip of the pen in one file. */
const CLIENTS_THAT_PROVE_A_DAY = 3

/** The error for a report without its day: it names the day that is probably meant, and leaves the choice to a person. */
export function asOfMissing(records: Records): UserError {
  const day = latestSharedDay(records)
  const hint =
    day === null
      ? noSharedDay(records)
      : `The latest day on which three or more clients have records is ${formatDay(day)}: --as-of ${formatDay(day)} if that is the day you mean.`
  return new UserError(`The day the report is made for is not given (--as-of YYYY-MM-DD). ${hint}`)
}

const noSharedDay = ({ assessments, sessions }: Records): string =>
  assessments.length + sessions.length === 0
    ? 'No score and no session was understood, so no day can be named either: "waneline read FOLDER --suggest-guide" drafts what a reading guide has to say about the files.'
    : 'No day has records of three or more clients.'

function latestSharedDay({ assessments, sessions }: Records): Day | null {
  const clients = new Map<Day, Set<string>>()
  const see = (day: Day, client: string): void => {
    const seen = clients.get(day) ?? new Set<string>()
    clients.set(day, seen)
    if (seen.size < CLIENTS_THAT_PROVE_A_DAY) seen.add(client)
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
    if (seen.size >= CLIENTS_THAT_PROVE_A_DAY && (latest === null || day > latest)) latest = day
  return latest
}
