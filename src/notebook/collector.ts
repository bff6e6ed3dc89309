import type { Block } from './blocks.ts'
import type { KeptCall } from './kept.ts'

/** One file that a page was made from. */
export interface InputFile {
  readonly file: string
  readonly sha256: string
  readonly bytes: number
  /** Records read from it, where it holds records. */
  readonly records: number | null
}

/** A block with the notebook's line from which it was shown. */
export interface Shown {
  readonly line: number
  readonly block: Block
}

/** A declared parameter, as help and the page list it. */
export interface DeclaredParameter {
  readonly name: string
  readonly type: string
  readonly description: string
  /** As text; null where it must be given. */
  readonly default: string | null
  readonly required: boolean
}

/** What a running notebook gathers. */
export interface Collector {
  /** Absolute path of the notebook file, by which its own lines are known in a stack. */
  readonly notebook: string
  /** Raw parameter values as texts or YAML values, by name. */
  readonly given: Readonly<Record<string, unknown>>
  /** Where each given value came from, for messages: `--as-of`, `WANELINE_AS_OF`, `params.yaml`. */
  readonly origin: Readonly<Record<string, string>>
  /** True where only the parameters are wanted, for `--help`. */
  readonly describeOnly: boolean
  /** Costly calls, noted so that they can be made ahead for the next run; null where nothing is kept. */
  readonly keep: KeptCall[] | null
  /** Told of the line of each thing shown, for the message of a process that ends without a word. */
  readonly at?: (line: number) => void
  readonly shown: Shown[]
  readonly inputs: InputFile[]
  /** Texts that must not stand anywhere on the page; null where nothing is withheld. */
  withheld: readonly string[] | null
  declared: readonly DeclaredParameter[]
  values: Readonly<Record<string, string>>
}

const KEY = Symbol.for('waneline.collector')
const holder = globalThis as { [KEY]?: Collector }

/** The collector of the running notebook, or null where a script runs outside the runner. */
export const collector = (): Collector | null => holder[KEY] ?? null

/** Begins collecting. Kept under a global symbol, so that two copies of the toolkit still share one page. */
export function beginCollecting(c: Collector): void {
  holder[KEY] = c
}
