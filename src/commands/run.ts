import { readFileSync } from 'node:fs'
import { basename, join } from 'node:path'
import type { Command } from 'commander'
import { parse } from 'yaml'
import { UserError } from '../errors.ts'
import { writeWhole } from '../files.ts'
import { checkTypes } from '../notebook/check-types.ts'
import type { DeclaredParameter } from '../notebook/collector.ts'
import { FORM_NAMES, type FormFile, formFiles, formNames } from '../notebook/formats/index.ts'
import { flagOf } from '../notebook/parameters.ts'
import { describeNotebook, type RunOptions, readNotebook, runNotebook } from '../notebook/run.ts'
import { CACHE_HELP, noCacheFlag } from './cacheFlag.ts'
import { withStatus } from './status.ts'
import { helpText, wrapped } from './wrapped.ts'

interface Options {
  readonly out: string
  readonly params?: string
  readonly check: boolean
  readonly code: boolean
  readonly live: boolean
  readonly format: string
  readonly help?: boolean
}

const nameOf = (flag: string): string => flag.replace(/-([a-z])/g, (_, c: string) => c.toUpperCase())

/** `--as-of 2026-06-30 --seed=7 --quiet` as names and texts; a flag without a value is true. */
export function parseFlags(words: readonly string[]): Record<string, string> {
  const given: Record<string, string> = {}
  for (let i = 0; i < words.length; i++) {
    const m = /^--([a-z][a-z0-9-]*)(?:=([\s\S]*))?$/.exec(words[i]!)
    if (!m)
      throw new UserError(
        `Cannot read "${words[i]}". Parameters are given as --name value; waneline run NOTEBOOK --help lists them.`,
        { exitCode: 2 },
      )
    const next = words[i + 1]
    if (m[2] !== undefined) given[nameOf(m[1]!)] = m[2]
    else if (next !== undefined && !next.startsWith('--')) {
      given[nameOf(m[1]!)] = next
      i++
    } else given[nameOf(m[1]!)] = 'true'
  }
  return given
}

function fromFile(path: string): Record<string, unknown> {
  let text: string
  try {
    text = readFileSync(path, 'utf8')
  } catch (cause) {
    throw new UserError(
      `Cannot read the parameter file ${path}. Give a YAML file, such as "asOf: 2026-06-30".`,
      {
        exitCode: 2,
        cause,
      },
    )
  }
  try {
    const values: unknown = parse(text, { schema: 'core' })
    if (typeof values === 'object' && values !== null && !Array.isArray(values))
      return values as Record<string, unknown>
  } catch (cause) {
    throw new UserError(`${path} is not YAML: ${cause instanceof Error ? cause.message : cause}`, {
      exitCode: 2,
      cause,
    })
  }
  throw new UserError(`${path} must hold one "name: value" a line.`, { exitCode: 2 })
}

/** Values by flag, then file, each with where it came from. `parameters` looks into the environment for the rest. */
export function gather(flags: Readonly<Record<string, string>>, file: string | undefined): RunOptions {
  const given: Record<string, unknown> = {}
  const origin: Record<string, string> = {}
  for (const [name, value] of Object.entries(file === undefined ? {} : fromFile(file))) {
    given[nameOf(name)] = value
    origin[nameOf(name)] = `${name} in ${file}`
  }
  for (const [name, value] of Object.entries(flags)) {
    given[name] = value
    origin[name] = `--${flagOf(name)}`
  }
  return { given, origin }
}

function parameterHelp(path: string, declared: readonly DeclaredParameter[]): string {
  const flags = declared.map((d) => `--${flagOf(d.name)} <${d.type}>`)
  const width = Math.max(0, ...flags.map((f) => f.length))
  const lines = declared.map(
    (d, i) =>
      `  ${flags[i]!.padEnd(width)}  ${d.description}${d.default !== null ? ` (default: ${d.default})` : d.required ? ' (must be given)' : ''}`,
  )
  const filled = lines.flatMap((line) => wrapped(line, ' '.repeat(width + 4)))
  return `Parameters of ${basename(path)}:\n${filled.join('\n') || '  none'}\n`
}

const EXAMPLES = helpText(`
Every parameter that a notebook declares is a flag; the environment (WANELINE_AS_OF=…) and a YAML file (--params) set it too.

Examples:
  waneline run notebooks/caseload-review.ts --data exports --as-of 2026-06-30 --out reports
  waneline run notebooks/caseload-review.ts --help
  waneline run my-question.ts --params june.yaml --no-code --format html,ipynb
${CACHE_HELP}
Exit code 0 when the page was written; 1 when it was not, with the reason; 2 when the command line was not understood, or names
what is not there.
`)

/** Files as a person is told of them: those of a folder once, as the folder. */
const told = (files: readonly FormFile[]): string[] => [
  ...new Set(files.map((f) => f.path.replace(/\/.*$/, '/'))),
]

async function run(path: string, options: Options, command: Command): Promise<void> {
  const words = command.args.slice(1)
  if (options.help) {
    process.stdout.write(command.helpInformation())
    process.stdout.write(`\n${parameterHelp(path, await describeNotebook(path))}${EXAMPLES}`)
    return
  }
  const formats = formNames(options.format)
  const { file, source } = readNotebook(path)
  const given = gather(parseFlags(words), options.params)
  const page = await withStatus(path, async (status) => {
    if (options.check) {
      status('checking its types')
      checkTypes(file, path, source)
    }
    status('reading and computing')
    return await runNotebook(path, given)
  })
  const name = basename(path).replace(/\.[^.]+$/, '')
  const files = await formFiles(page, formats, {
    name,
    code: options.code,
    live: options.live,
  })
  await writeWhole(files.map((f) => ({ path: join(options.out, f.path), content: f.content })))
  process.stdout.write(
    `${told(files)
      .map((f) => join(options.out, f))
      .join('\n')}\n`,
  )
}

/** `waneline run NOTEBOOK`. */
export function registerRun(program: Command): void {
  program
    .command('run')
    .summary('run a notebook and write its page')
    .description(
      'Runs a notebook from the top in a fresh process and writes one self-contained HTML page, or other forms of it.',
    )
    .argument('[notebook]', 'a TypeScript file')
    .argument('[parameters...]', "the notebook's own parameters, as --name value")
    .option('--out <folder>', 'where the page goes', 'reports')
    .option('--params <file>', 'YAML file of parameters')
    .option('--format <names>', `forms of the page, one or more of ${FORM_NAMES.join(', ')}`, 'html')
    .option('--no-check', 'skip the type check')
    .option('--no-code', "leave the notebook's code out of the page")
    .option(
      '--no-live',
      'still charts only: a page without the runtime that brings them to life, 250 kB less',
    )
    .addOption(noCacheFlag())
    .option('-h, --help', 'this help, with the parameters of the notebook named')
    .helpOption(false)
    .allowUnknownOption()
    .action(
      async (path: string | undefined, _words: readonly string[], options: Options, command: Command) => {
        if (path === undefined || path.startsWith('-')) {
          process.stdout.write(command.helpInformation() + EXAMPLES)
          if (!options.help) throw new UserError('Name a notebook to run.', { exitCode: 2 })
          return
        }
        await run(path, options, command)
      },
    )
}
