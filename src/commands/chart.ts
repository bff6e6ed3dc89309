import { join } from 'node:path'
import type { Command } from 'commander'
import { UserError } from '../errors.ts'
import { writeWhole } from '../files.ts'
import { chartPictures, type PictureForm } from '../notebook/formats/chart-pictures.ts'
import { runNotebook } from '../notebook/run.ts'
import { CACHE_HELP, noCacheFlag } from './cacheFlag.ts'
import { gather, parseFlags } from './run.ts'
import { helpText } from './wrapped.ts'

interface Options {
  readonly out: string
  readonly format: string
  readonly only?: string
  readonly scale: string
  readonly params?: string
}

function formsOf(text: string): PictureForm[] {
  const names = [...new Set(text.split(',').map((name) => name.trim().toLowerCase()))]
  const known = names.filter((name): name is PictureForm => ['png', 'svg', 'csv'].includes(name))
  if (known.length === 0 || known.length < names.length)
    throw new UserError(
      `--format cannot be "${text}". It takes png, svg, csv, or several of them: png,svg,csv.`,
      { exitCode: 2 },
    )
  return known
}

function scaleOf(text: string): number {
  const value = Number(text)
  if (text.trim() === '' || !(value >= 0.5 && value <= 8))
    throw new UserError(`--scale cannot be "${text}". It takes a number from 0.5 to 8.`, { exitCode: 2 })
  return value
}

async function draw(path: string, options: Options, command: Command): Promise<void> {
  const forms = formsOf(options.format)
  const scale = scaleOf(options.scale)
  const only = options.only === undefined ? {} : { only: options.only }
  const page = await runNotebook(path, gather(parseFlags(command.args.slice(1)), options.params))
  const files = await chartPictures(page, { forms, scale, ...only })
  await writeWhole(files.map((f) => ({ path: join(options.out, f.path), content: f.content })))
  for (const file of files) process.stdout.write(`${join(options.out, file.path)}\n`)
}

/** `waneline chart NOTEBOOK`. */
export function registerChart(program: Command): void {
  program
    .command('chart')
    .summary('the charts of a notebook as PNG, SVG and CSV')
    .description(
      'Runs a notebook and writes its charts as pictures, fonts included, and the tables behind them: the same bytes on every machine.',
    )
    .argument('<notebook>', 'a TypeScript file')
    .argument('[parameters...]', "the notebook's own parameters, as --name value")
    .option('--out <folder>', 'where the pictures go', 'reports')
    .option('--format <names>', 'png, svg, csv (the table behind it), or several', 'png,svg')
    .option('--only <chart>', 'one chart alone: its number on the page, or words of its title')
    .option('--scale <n>', 'PNG pixels for each pixel of the drawing', '2')
    .option('--params <file>', 'YAML file of parameters')
    .addOption(noCacheFlag())
    .allowUnknownOption()
    .addHelpText(
      'after',
      helpText(`
Examples:
  waneline chart notebooks/caseload-review.ts --data exports --as-of 2026-06-30
  waneline chart notebooks/caseload-review.ts --data exports --as-of 2026-06-30 --only 2 --format png --scale 4
  waneline chart notebooks/caseload-review.ts --data exports --as-of 2026-06-30 --only "clients analysed" --format svg,csv

A chart that is not there: the message lists those that are.
${CACHE_HELP}`),
    )
    .action((path: string, _words: readonly string[], options: Options, command: Command) =>
      draw(path, options, command),
    )
}
