import { spawnSync } from 'node:child_process'
import { closeSync, existsSync, mkdirSync, openSync, rmSync, writeSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { formatDay, REFLEXES } from '../../src/records/index.ts'
import { type RandomStream, seededStream } from '../../src/statistics/index.ts'
import { bundled } from '../commands/releaseCommand.ts'

/**
 * Time and memory of the whole command `waneline release`, reading included, on an invented caseload:
 *
 *     tsx --conditions=waneline-source tests/bench/release.ts [people] [folder]
 *
 * Everybody consents. A person has a twelve-week programme for one to three reflexes, a visit before it and one to five
 * after, and a diary of a line a week. The age bands, sexes, three sites and two groups are the four default columns. The same
 * number of people makes the same bytes; a folder that is there already is used as it is.
 */
const people = Number(process.argv[2] ?? 100_000)
const folder = process.argv[3] ?? join(tmpdir(), `release-caseload-${people}`)
const out = join(tmpdir(), `release-bench-${process.pid}`)
const FIRST_DAY = 19_358 // 2023-01-01
const AS_OF = '2024-12-31'
const MIDLINE = new Set(['moro', 'snout', 'sucking', 'symmetric_tonic_neck', 'tonic_labyrinthine'])

/** A file that is written in pieces. */
function sink(name: string, heading: string) {
  const file = openSync(join(folder, name), 'w')
  let waiting = `${heading}\n`
  const flush = (): void => {
    writeSync(file, waiting)
    waiting = ''
  }
  return {
    line: (...cells: readonly (string | number)[]): void => {
      waiting += `${cells.join()}\n`
      if (waiting.length > 1_000_000) flush()
    },
    end: (): void => {
      flush()
      closeSync(file)
    },
  }
}

const sinks = () => ({
  clients: sink('clients.csv', 'client_id,birth_date,sex,site,group,enrolled_on,research_consent'),
  assessments: sink('assessments.csv', 'client_id,assessed_on,reflex,side,score,scale_max,rater_id'),
  programmes: sink(
    'programmes.csv',
    'client_id,target,side,stimulus,sessions_per_day,reps_per_session,starts_on,ends_on',
  ),
  sessions: sink('sessions.csv', 'client_id,done_on,target,side,stimulus,reps,reaction'),
})

const oneOf = <T>(r: RandomStream, all: readonly T[]): T => all[r.below(all.length)]!

function visitsOf(r: RandomStream, start: number): number[] {
  const visits = [start - 1 - r.below(14)]
  for (let n = 1 + r.below(5); n > 0; n--) visits.push(Math.max(start, visits.at(-1)!) + 38 + r.below(15))
  return visits
}

function writePerson(k: number, to: ReturnType<typeof sinks>): void {
  const r = seededStream(1, ['release', k])
  const id = `SM-${100_000 + k}`
  const start = FIRST_DAY + r.below(365)
  const born = start - 730 - r.below(365 * 14)
  const site = oneOf(r, ['Heron', 'Curlew', 'Plover'])
  const group = oneOf(r, ['early years', 'school age'])
  to.clients.line(
    id,
    formatDay(born),
    oneOf(r, ['female', 'male']),
    site,
    group,
    formatDay(start - 30),
    'yes',
  )
  const visits = visitsOf(r, start)
  for (const reflex of r.shuffle([...REFLEXES]).slice(0, 1 + r.below(3))) {
    const side = MIDLINE.has(reflex) ? 'midline' : 'left'
    const first = 1 + r.below(4)
    visits.forEach((day, v) => {
      const score = Math.max(0, first - r.below(v + 1))
      to.assessments.line(id, formatDay(day), reflex, side, score, 4, `${site}-${r.below(8)}`)
    })
    const stimulus = oneOf(r, ['brush', 'touch', 'movement'])
    to.programmes.line(id, reflex, side, stimulus, 1, 10, formatDay(start), formatDay(start + 83))
    for (let day = start + r.below(7); day < start + 84; day += 7)
      to.sessions.line(id, formatDay(day), reflex, side, stimulus, 10, r.below(200) === 0 ? 'skin' : 'none')
  }
}

function makeCaseload(): void {
  mkdirSync(folder, { recursive: true })
  const to = sinks()
  for (let k = 0; k < people; k++) writePerson(k, to)
  for (const file of Object.values(to)) file.end()
}

if (!existsSync(folder)) makeCaseload()
const REPORT = `process.on('exit', () => { const u = process.resourceUsage(); process.stderr.write('used ' + JSON.stringify({ seconds: process.uptime(), cpu: (u.userCPUTime + u.systemCPUTime) / 1e6, megabytes: u.maxRSS / 1024 }) + '\\n') })`
/** The command as people have it, as JavaScript: running from source keeps the compiler and all sources in memory beside it. */
const home = await bundled()
const cli = join(home, 'dist/cli.js')
const run = spawnSync(
  process.execPath,
  [
    '--import',
    `data:text/javascript,${encodeURIComponent(REPORT)}`,
    cli,
    'release',
    folder,
    ...['--as-of', AS_OF, '--out', out, '--no-cache'],
  ],
  { encoding: 'utf8' },
)
for (const made of [out, home]) rmSync(made, { recursive: true, force: true })
process.stdout.write(run.stdout)
// Threads that read tell when they end, too: the last to tell is the command itself.
const used = [...run.stderr.matchAll(/used (\{.*\})/g)].at(-1)
if (run.status !== 0 || !used) throw new Error(run.stderr)
const { seconds, cpu, megabytes } = JSON.parse(used[1]!) as Record<'seconds' | 'cpu' | 'megabytes', number>
process.stdout.write(
  `${people} people: ${seconds.toFixed(1)} s (${cpu.toFixed(1)} s of processor), peak ${Math.round(megabytes)} MiB, reading included\n`,
)
