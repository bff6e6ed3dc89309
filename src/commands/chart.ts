import { join } from 'node:path'
import type { Command } from 'commander'
import { UserError } from '../errors.ts'
import { writeWhole } from '../files.ts'
import { chartPictures, type PictureForm } from '../notebook/formats/chart-pictures.ts'
import { runNotebook } from '../notebook/run.ts'
import { CACHE_HELP, noCacheFlag } from './cacheFlag.ts'
import { gather, parseFlags } from './run.ts'

interface Options {
  readonly out: string
  readonly format: string
  readonly only?: string
  readonly scale: string
  readonly params?: string
}

function formsOf(text: string): PictureForm[] {
  const names = [...new Set(text.split(',').map((name) => name.trim().toLowerCase()))]
  const known = names.filter((name): name is PictureForm => name === 'png' || name === 'svg')
  if (known.length === 0 || known.length < names.length)
    throw new UserError(`--format cannot be "${text}". It takes png, svg or png,svg.`, { exitCode: 2 })
  return known
}

function numberOf(flag: string, text: string, low: number, high: number, whole: boolean): number {
  const value = Number(text)
  if (text.trim() === '' || !(value >= low && value <= high) || (whole && !Number.isInteger(value)))
    throw new UserError(
      `${flag} cannot be "${text}". It takes a ${whole ? 'whole ' : ''}number from ${low} to ${high}.`,
      { exitCode: 2 },
    )
  return value
}

async function draw(path: string, options: Options, command: Command): Promise<void> {
  const forms = formsOf(options.format)
  const scale = numberOf('--scale', options.scale, 0.5, 8, false)
  const only = options.only === undefined ? {} : { only: numberOf('--only', options.only, 1, 999, true) }
  const page = await runNotebook(path, gather(parseFlags(command.args.slice(1)), options.params))
  const files = await chartPictures(page, { forms, scale, ...only })
  await writeWhole(files.map((f) => ({ path: join(options.out, f.path), content: f.content })))
  for (const file of files) process.stdout.write(`${join(options.out, file.path)}\n`)
}

/** `waneline chart NOTEBOOK`. */
export function registerChart(program: Command): void {
  program
    .command('chart')
    .summary('the charts of a notebook as PNG and SVG')
    .description(
      'Runs a notebook and writes its charts as pictures, fonts included: the same bytes on every machine.',
    )
    .argument('<notebook>', 'a TypeScript file')
    .argument('[parameters...]', "the notebook's own parameters, as --name value")
    .option('--out <folder>', 'where the pictures go', 'reports')
    .option('--format <names>', 'png, svg or both', 'png,svg')
    .option('--only <n>', 'the nth chart of the page alone')
    .option('--scale <n>', 'PNG pixels for each pixel of the drawing', '2')
    .option('--params <file>', 'YAML file of parameters')
    .addOption(noCacheFlag())
    .allowUnknownOption()
    .addHelpText(
      'after',
      `\nExample:\n  waneline chart notebooks/caseload-review.ts --data exports --as-of 2026-06-30 --only 2 --format png\n${CACHE_HELP}`,
    )
    .action((path: string, _words: readonly string[], options: Options, command: Command) =>
      draw(path, options, command),
    )
}
