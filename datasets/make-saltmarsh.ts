/**
 * Makes the invented demo clinic `datasets/saltmarsh` and, beside it, `saltmarsh.parameters.json` with everything it
 * was made from. The same code gives the same bytes: `npm run demo:make` changes nothing unless the maker changed.
 */
import { mkdir, rm, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { type Assessment, type ProgrammeLine, partsOf, type Session } from '../src/records/index.ts'
import { PARAMETERS, type SiteName } from './maker/clinic.ts'
import { assessments, programme, visits } from './maker/course.ts'
import { diary } from './maker/diary.ts'
import { messUpScores, messUpSessions, type Planted } from './maker/mess.ts'
import { type Person, people } from './maker/people.ts'
import { random } from './maker/random.ts'
import { delimited, HABITS, tableOf } from './maker/sites.ts'

interface Story {
  readonly person: Person
  readonly start: number
  readonly scores: readonly Assessment[]
  readonly lines: readonly ProgrammeLine[]
  readonly log: readonly Session[]
}

/** Logs are exported every quarter, in the order of the days. */
function byQuarter(log: readonly Session[]): Map<string, Session[]> {
  const out = new Map<string, Session[]>()
  for (const session of [...log].sort((a, b) => a.done_on - b.done_on)) {
    const { year, month } = partsOf(session.done_on)
    const quarter = `${year}-q${Math.ceil(month / 3)}`
    const rows = out.get(quarter)
    if (rows) rows.push(session)
    else out.set(quarter, [session])
  }
  return out
}

/** The whole clinic as file names and contents, and the truth. Pure. */
function saltmarsh(): { readonly files: ReadonlyMap<string, string>; readonly truth: unknown } {
  const rng = random(PARAMETERS.seed)
  const stories: Story[] = people(rng).map((person) => {
    const own = random(rng.whole(1, 2 ** 31))
    const when = visits(own, person)
    const lines = programme(own, person, when)
    return {
      person,
      start: when.start,
      scores: assessments(own, person, when),
      lines,
      log: diary(own, person, lines),
    }
  })
  const files = new Map<string, string>()
  const planted: Record<string, readonly Planted[]> = {}
  for (const site of Object.keys(PARAMETERS.clients_per_site) as SiteName[]) {
    const habit = HABITS[site]
    const here = stories.filter((s) => s.person.site === site)
    const name = (kind: string): string => `${site.toLowerCase()}/${kind}.${habit.extension}`
    const scores = tableOf(
      habit.assessments,
      here.flatMap((s) => s.scores).sort((a, b) => a.assessed_on - b.assessed_on),
    )
    planted[name('assessments')] = messUpScores(rng, scores, habit.delimiter)
    for (const [quarter, rows] of byQuarter(here.flatMap((s) => s.log))) {
      const log = tableOf(habit.sessions, rows)
      planted[name(`home-log-${quarter}`)] = messUpSessions(rng, log, habit.delimiter)
      files.set(name(`home-log-${quarter}`), delimited(habit, log))
    }
    files.set(
      name('clients'),
      delimited(
        habit,
        tableOf(
          habit.clients,
          here.map((s) => s.person.client),
        ),
      ),
    )
    files.set(name('assessments'), delimited(habit, scores))
    files.set(
      name('programmes'),
      delimited(
        habit,
        tableOf(
          habit.programmes,
          here.flatMap((s) => s.lines),
        ),
      ),
    )
  }
  const truth = {
    parameters: PARAMETERS,
    clients: stories.map(({ person, start }) => ({
      client_id: person.client.client_id,
      story: person.story,
      adherence: person.adherence,
      natural_slope_per_month: person.naturalSlope,
      programme_slope_per_month: person.programmeSlope,
      emphasis: person.emphasis,
      starts_day: start,
      stops_logging_day: person.stopsOn,
    })),
    planted,
  }
  return { files, truth }
}

if (process.argv[1] === import.meta.filename) {
  const folder = join(import.meta.dirname, 'saltmarsh')
  const { files, truth } = saltmarsh()
  await rm(folder, { recursive: true, force: true })
  for (const [name, content] of files) {
    await mkdir(join(folder, name, '..'), { recursive: true })
    await writeFile(join(folder, name), content)
  }
  await writeFile(
    join(import.meta.dirname, 'saltmarsh.parameters.json'),
    `${JSON.stringify(truth, null, 2)}\n`,
  )
  process.stdout.write(`Made ${files.size} files in ${folder}\n`)
}
