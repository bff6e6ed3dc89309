import { existsSync } from 'node:fs'
import { basename, extname } from 'node:path'
import type { Command } from 'commander'
import { UserError } from '../errors.ts'
import { writeWhole } from '../files.ts'
import { newNotebook } from '../notebook/template.ts'

/** `my-question` as the heading of a page. */
function titleOf(path: string): string {
  const words = basename(path, extname(path))
    .replace(/[-_]+/g, ' ')
    .replace(/[`*[\]<>\\/]/g, '')
    .trim()
  return words ? words.charAt(0).toUpperCase() + words.slice(1) : 'A new question'
}

async function create(name: string): Promise<void> {
  const path = extname(name) === '.ts' ? name : `${name}.ts`
  if (existsSync(path))
    throw new UserError(`${path} is there already; nothing was written. Choose another name.`, {
      exitCode: 2,
    })
  await writeWhole([{ path, content: newNotebook(titleOf(path)) }])
  process.stdout.write(`${path}\nRun it with: waneline run ${path}\n`)
}

/** `waneline new NAME`. */
export function registerNew(program: Command): void {
  program
    .command('new')
    .summary('write a small notebook that works')
    .description('Writes a small notebook that works as it stands, to be changed into your question.')
    .argument('<name>', 'name of the notebook, or a path')
    .addHelpText('after', '\nExample:\n  waneline new my-question && waneline run my-question.ts\n')
    .action(create)
}
