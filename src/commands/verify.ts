import { existsSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import type { Command } from 'commander'
import { UserError } from '../errors.ts'
import { NO_CACHE } from '../load/index.ts'
import type { Provenance } from '../notebook/page.ts'
import { readNotebook, runNotebook } from '../notebook/run.ts'
import { knownChanges, provenanceOf, verdictOf } from '../notebook/verify.ts'
import { gather, parseFlags } from './run.ts'
import { helpText } from './wrapped.ts'

interface Options {
  readonly notebook?: string
  readonly data?: string
}

function readPage(path: string): string {
  try {
    return readFileSync(path, 'utf8')
  } catch (cause) {
    throw new UserError(`There is no page ${path}. Name an HTML page that waneline run wrote.`, {
      exitCode: 2,
      cause,
    })
  }
}

/** A page names its notebook by file name alone: looked for where notebooks usually lie. */
function findNotebook(name: string, page: string, given: string | undefined): string {
  const places = given ? [given] : [join('notebooks', name), name, join(dirname(page), name)]
  const found = places.find((place) => existsSync(place))
  if (found === undefined)
    throw new UserError(
      `The page was made by ${name}, which is at none of ${places.join(', ')}. Say where it is with --notebook.`,
      { exitCode: 2 },
    )
  return found
}

/** What is known to have changed where the notebook does not even run to its end any more. */
function stopped(path: string, then: Provenance, notebook: string, cause: unknown): UserError {
  const known = knownChanges(then, readNotebook(notebook).source)
  const withheld =
    then.parameters.length === 0 && then.inputs.length === 0
      ? '\n\nThe page names no parameters and no inputs. If it withholds them, give them here as flags, as to waneline run.'
      : ''
  return new UserError(
    `${path} cannot be reproduced from what is here: the rerun stopped.${known.map((c) => `\n  ${c}`).join('')}\n\n${cause instanceof Error ? cause.message : cause}${withheld}`,
    { cause },
  )
}

async function verify(path: string, options: Options, command: Command): Promise<void> {
  // A verdict stands on the files themselves, not on what an earlier read kept of them.
  process.env[NO_CACHE] = '1'
  const html = readPage(path)
  const then = provenanceOf(html, path)
  const notebook = findNotebook(then.notebook, path, options.notebook)
  const values = Object.fromEntries(
    then.parameters.filter((p) => p.value !== '').map((p) => [p.name, p.value]),
  )
  const flags = gather(parseFlags(command.args.slice(1)), undefined)
  const moved = options.data === undefined ? {} : { data: options.data }
  const rerun = await runNotebook(notebook, {
    given: { ...values, ...flags.given, ...moved },
    origin: {
      ...Object.fromEntries(then.parameters.map((p) => [p.name, `${p.name} in ${path}`])),
      ...flags.origin,
    },
  }).catch((cause) => {
    throw stopped(path, then, notebook, cause)
  })
  // A folder that was moved is still the folder, if its files are the same.
  const parameters = rerun.provenance.parameters.map((p) =>
    p.name in moved ? { ...p, value: values[p.name] ?? p.value } : p,
  )
  const { reproduced, changes } = await verdictOf(html, path, {
    ...rerun,
    provenance: { ...rerun.provenance, parameters },
  })
  if (reproduced)
    process.stdout.write(`${path} is reproduced: a rerun of ${notebook} gives the same bytes.\n`)
  else
    throw new UserError(
      `${path} cannot be reproduced from what is here. What changed:\n${changes.map((c) => `  ${c}`).join('\n')}`,
    )
}

/** `waneline verify PAGE`. */
export function registerVerify(program: Command): void {
  program
    .command('verify')
    .summary('rerun a page and say whether it comes out the same')
    .description(
      'Runs the notebook of a page again, with the parameters that the page names, and says whether the page is reproduced byte for byte, or what changed: notebook, input files, parameters, versions.',
    )
    .argument('<page>', 'an HTML page that waneline run wrote')
    .argument('[parameters...]', 'parameters that a page withholds, as --name value')
    .allowUnknownOption()
    .option('--notebook <file>', 'the notebook, where it is not in notebooks/ or beside the page')
    .option('--data <folder>', 'the folder of exports, where it was moved')
    .option('--no-cache', 'so it is always: a proof reads the exports themselves')
    .addHelpText(
      'after',
      helpText(`
Leaves with 0 where the page is reproduced, with 1 where it is not.

Examples:
  waneline verify reports/caseload-review.html
  waneline verify page.html --notebook my-question.ts --data /mnt/archive/exports
  waneline verify masked/case-presentation.html --data exports --as-of 2026-06-30 --client C-104 --masked
`),
    )
    .action((path: string, _words: readonly string[], options: Options, command: Command) =>
      verify(path, options, command),
    )
}
