import { spawnSync } from 'node:child_process'
import { existsSync, mkdirSync, readFileSync } from 'node:fs'
import { availableParallelism, cpus, tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'

/**
 * The same job by this toolkit and by its peers, in turn on one machine, several rounds: medians of whole-process time and
 * peak memory, and the median over rounds of each peer's time divided by ours in the same round.
 */
const SIZES: Readonly<Record<string, readonly [clients: number, days: number]>> = {
  S: [100, 180],
  M: [400, 365],
  L: [4000, 365],
}
const here = import.meta.dirname

interface Runner {
  readonly name: string
  readonly command: readonly string[]
  /** Answers with its version where it is installed with all it needs. */
  readonly probe: readonly string[]
}

const RUNNERS: readonly Runner[] = [
  { name: 'waneline', command: ['node', 'dist/bench/caseload.js'], probe: ['node', '--version'] },
  {
    name: 'R',
    command: ['Rscript', join(here, 'peers/caseload.R')],
    probe: [
      'Rscript',
      '-e',
      'suppressMessages({library(data.table);library(lme4);library(survival)});cat("R",format(getRversion()),"data.table",format(packageVersion("data.table")),"lme4",format(packageVersion("lme4")))',
    ],
  },
  {
    name: 'pandas',
    command: ['python3', join(here, 'peers/caseload.py')],
    probe: ['python3', '-c', 'import pandas,scipy,statsmodels;print("pandas",pandas.__version__)'],
  },
]

interface Measured {
  readonly seconds: number
  readonly mebibytes: number
}

const call = (command: readonly string[]) =>
  spawnSync(command[0] as string, command.slice(1), { encoding: 'utf8', maxBuffer: 1 << 26 })

/** One whole process: its wall time, and the peak memory that it reports of itself. */
function measure(runner: Runner, data: string, out: string, asOf: string): Measured {
  const own = ['--data', data, '--out', out, '--as-of', asOf]
  const started = performance.now()
  const run = call([...runner.command, ...(runner.name === 'waneline' ? own : [data, out, asOf])])
  const seconds = (performance.now() - started) / 1000
  if (run.status !== 0) throw new Error(`${runner.name} failed:\n${run.stderr}`)
  return { seconds, mebibytes: Number([...run.stdout.matchAll(/(\d+) MiB/g)].at(-1)?.[1] ?? Number.NaN) }
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const middle = Math.floor(sorted.length / 2)
  return sorted.length % 2 === 1
    ? (sorted[middle] as number)
    : ((sorted[middle - 1] as number) + (sorted[middle] as number)) / 2
}

function made(folder: string, size: string): { readonly data: string; readonly asOf: string } {
  const [clients, days] = SIZES[size] as readonly [number, number]
  const data = join(folder, size)
  if (!existsSync(join(data, 'truth.json'))) {
    const options = ['--clients', String(clients), '--days', String(days), '--out', data]
    const run = call(['node', join(here, 'make-caseload.mjs'), ...options])
    if (run.status !== 0) throw new Error(run.stderr)
  }
  return { data, asOf: JSON.parse(readFileSync(join(data, 'truth.json'), 'utf8')).as_of }
}

const FOLDER = join(tmpdir(), 'waneline-bench')
const HELP = `npm run bench:peers -- [--sizes S,M,L] [--rounds 5] [--folder ${FOLDER}]

Makes an invented caseload of each size, does the same job on it with this toolkit, R and pandas in turn (whichever is
installed), and prints a table of medians: seconds, peak memory, and how many times our time the others took.

  --sizes   S (100 clients), M (400; a million sessions), L (4,000; ten million, 688 MB); any of them, with commas between
  --rounds  how often each is run
  --folder  where the data and the results are written; what was made before is used again`

function optionsGiven() {
  try {
    const { values } = parseArgs({
      options: {
        sizes: { type: 'string', default: 'S,M,L' },
        rounds: { type: 'string', default: '5' },
        folder: { type: 'string', default: FOLDER },
        help: { type: 'boolean', short: 'h', default: false },
      },
    })
    if (values.help) return null
    const unknown = values.sizes.split(',').find((size) => !(size in SIZES))
    if (unknown !== undefined) throw new Error(`There is no size "${unknown}": say ${Object.keys(SIZES)}.`)
    if (!(Number.isInteger(Number(values.rounds)) && Number(values.rounds) > 0))
      throw new Error(`"${values.rounds}" is no number of rounds.`)
    return values
  } catch (error) {
    console.error(`${(error as Error).message}\n\n${HELP}`)
    process.exit(1)
  }
}

const values = optionsGiven()
if (values === null) {
  console.log(HELP)
  process.exit(0)
}
mkdirSync(values.folder, { recursive: true, mode: 0o700 })
const present = RUNNERS.filter((runner) => {
  const { status, stdout } = call(runner.probe)
  console.log(
    status === 0 ? `${runner.name}: ${stdout.trim()}` : `${runner.name} is not installed and is skipped`,
  )
  return status === 0
})
console.log(
  `${new Date().toISOString().slice(0, 10)}, ${availableParallelism()} cores (${cpus()[0]?.model ?? 'unknown'}), ${values.rounds} rounds`,
)
console.log('\n| size | | seconds (min to max) | peak MiB | times ours | memory of ours |')
console.log('| --- | --- | --- | ---: | ---: | ---: |')
for (const size of values.sizes.split(',')) {
  const { data, asOf } = made(values.folder, size)
  const runs = new Map<string, Measured[]>(present.map(({ name }) => [name, []]))
  const outOf = (name: string): string => join(values.folder, `${size}-${name}`)
  for (let round = 0; round < Number(values.rounds); round++)
    for (const runner of present) runs.get(runner.name)?.push(measure(runner, data, outOf(runner.name), asOf))
  const own = runs.get('waneline') as Measured[]
  for (const { name } of present) {
    const all = runs.get(name) as Measured[]
    const seconds = all.map((r) => r.seconds)
    const times = median(all.map((r, k) => r.seconds / own[k]!.seconds))
    const memory = median(own.map((r, k) => r.mebibytes / all[k]!.mebibytes))
    console.log(
      `| ${size} | ${name} | ${median(seconds).toFixed(2)} (${Math.min(...seconds).toFixed(2)} to ${Math.max(...seconds).toFixed(2)}) | ${median(all.map((r) => r.mebibytes)).toFixed(0)} | ${times.toFixed(2)} | ${memory.toFixed(2)} |`,
    )
    if (name === 'waneline') continue
    const agreement = call(['node', join(here, 'check.mjs'), outOf('waneline'), outOf(name)])
    console.log(agreement.stdout.trim().split('\n').at(-1))
    if (agreement.status !== 0) process.exitCode = 1
  }
}
