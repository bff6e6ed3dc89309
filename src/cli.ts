#!/usr/bin/env node
import { Command } from 'commander'
import { heedCacheFlag } from './commands/cacheFlag.ts'
import { registerChart } from './commands/chart.ts'
import { registerNew } from './commands/new.ts'
import { registerRead } from './commands/read.ts'
import { registerRelease } from './commands/release.ts'
import { registerRun } from './commands/run.ts'
import { registerVerify } from './commands/verify.ts'
import { registerWatch } from './commands/watch.ts'
import { UserError } from './errors.ts'
import { VERSION } from './version.ts'

const program = new Command('waneline')
  .description(
    'Turns exported reflex scores and home-programme logs into answers a caseload review can stand on.',
  )
  .version(VERSION)
  .addHelpText(
    'after',
    `
waneline COMMAND --help shows each with examples.

Exit codes: 0 done; 1 not done, or not reproduced, with the reason; 2 the
command line was not understood, or names what is not there.`,
  )
  .configureHelp({ subcommandTerm: (command) => command.name() })
  // A slip on the command line is told from work that failed.
  .exitOverride(({ exitCode }) => process.exit(exitCode === 0 ? 0 : 2))

heedCacheFlag(program)
registerRead(program)
registerRun(program)
registerRelease(program)
registerWatch(program)
registerVerify(program)
registerChart(program)
registerNew(program)
program.showHelpAfterError('(waneline --help lists the commands)')
for (const command of program.commands)
  command.showHelpAfterError(`(waneline ${command.name()} --help shows how it is used)`)

try {
  await program.parseAsync()
} catch (error) {
  if (!(error instanceof UserError)) throw error
  process.stderr.write(`${error.message}\n`)
  process.exitCode = error.exitCode
}
