import { basename } from 'node:path'
import type { Command } from 'commander'
import { UserError } from '../errors.ts'
import { readNotebook } from '../notebook/run.ts'
import { WatchServer } from '../notebook/watch/server.ts'
import { WatchSession } from '../notebook/watch/session.ts'
import { CACHE_HELP, noCacheFlag } from './cacheFlag.ts'
import { gather, parseFlags } from './run.ts'
import { helpText } from './wrapped.ts'

interface Options {
  readonly port: string
  readonly params?: string
  readonly check: boolean
  readonly code: boolean
}

function portOf(text: string): number {
  const port = Number(text)
  if (!/^\d+$/.test(text) || port > 65_535)
    throw new UserError(`--port cannot be "${text}". It takes a number from 0 (any free port) to 65535.`, {
      exitCode: 2,
    })
  return port
}

async function watch(path: string, options: Options, command: Command): Promise<void> {
  readNotebook(path)
  const given = gather(parseFlags(command.args.slice(1)), options.params)
  const server = new WatchServer(basename(path))
  const address = await server.listen(portOf(options.port))
  const session = new WatchSession(path, server, { ...given, check: options.check, code: options.code })
  process.stdout.write(`${address}\nWatching ${path}; Ctrl+C ends it.\n`)
  const end = (): void => {
    session.close()
    server.close()
  }
  process.once('SIGINT', end)
  process.once('SIGTERM', end)
  await session.start()
}

/** `waneline watch NOTEBOOK`. */
export function registerWatch(program: Command): void {
  program
    .command('watch')
    .summary('show the page while you write the notebook')
    .description(
      'Serves the page of a notebook to this machine alone and runs it anew at every save, from the top in a fresh process. Errors stand above the last page that came out.',
    )
    .argument('<notebook>', 'a TypeScript file')
    .argument('[parameters...]', "the notebook's own parameters, as --name value")
    .option('--port <n>', 'port on 127.0.0.1 (0: any free one)', '0')
    .option('--params <file>', 'YAML file of parameters')
    .option('--no-check', 'skip the type check')
    .option('--no-code', "leave the notebook's code out of the page")
    .addOption(noCacheFlag())
    .allowUnknownOption()
    .addHelpText(
      'after',
      helpText(
        `\nExample:\n  waneline watch notebooks/caseload-review.ts --data exports --as-of 2026-06-30\n${CACHE_HELP}`,
      ),
    )
    .action((path: string, _words: readonly string[], options: Options, command: Command) =>
      watch(path, options, command),
    )
}
