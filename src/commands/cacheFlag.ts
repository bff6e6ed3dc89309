import { type Command, Option } from 'commander'
import { NO_CACHE } from '../load/index.ts'

/** `--no-cache`, as every command that reads exports has it. */
export const noCacheFlag = (): Option =>
  new Option('--no-cache', 'read the exports themselves; keep nothing of them for the next run')

/** Hands the flag on to whatever reads, notebooks in processes of their own included, before a command begins. */
export function heedCacheFlag(program: Command): Command {
  return program.hook('preAction', (_, command) => {
    if (command.opts<{ readonly cache?: boolean }>().cache === false) process.env[NO_CACHE] = '1'
  })
}

/** For the help of a command. */
export const CACHE_HELP = `
What was read is kept in the folder .waneline-cache beside the exports, for its owner alone, and used again only while every
file is the same byte for byte. It holds the same personal data as the exports; delete it at any time.
--no-cache, or WANELINE_NO_CACHE=1, does without.
`
