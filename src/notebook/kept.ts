import { collector } from './collector.ts'

/** A costly call that a notebook made: its name and its argument. */
export interface KeptCall {
  readonly name: string
  readonly argument: unknown
}

interface Keepable<A, R> {
  readonly make: (argument: A) => Promise<R>
  /** What the result depends on beside the argument: a digest of the files that are read. */
  readonly contentKey: (argument: A) => Promise<string>
  /**
   * What a notebook is likely to do with the result, in steps: pure functions, so that nothing is left of it but that the engine has
   * them compiled when the run calls them in earnest.
   */
  readonly rehearsal?: (result: R) => Iterable<unknown>
}

interface Kept {
  readonly key: string
  readonly value: Promise<unknown>
}

const keepables = new Map<string, Keepable<never, never>>()
const kept = new Map<string, Kept>()

const idOf = ({ name, argument }: KeptCall): string => JSON.stringify([name, argument])

/**
 * A function whose result `waneline watch` may make ahead, in the fresh process that waits for the next save. A result is
 * used once, and only if the content it was made from is still the same; otherwise, and outside `watch`, it is made anew.
 */
export function keepable<A, R>(name: string, how: Keepable<A, R>): (argument: A) => Promise<R> {
  const { make, contentKey } = how
  keepables.set(name, how as unknown as Keepable<never, never>)
  return async (argument) => {
    const page = collector()
    if (!page?.keep) return make(argument)
    const call = { name, argument }
    page.keep.push(call)
    const ahead = kept.get(idOf(call))
    kept.delete(idOf(call))
    return ahead && ahead.key === (await contentKey(argument)) ? (ahead.value as Promise<R>) : make(argument)
  }
}

/**
 * Makes ahead what the last run called, then rehearses what is likely to be done with it, until a run is wanted. A failure is
 * left for the run itself to meet, where its error names the notebook's line.
 */
export async function makeAhead(calls: readonly KeptCall[], wanted: () => boolean): Promise<void> {
  const rehearsals: Iterable<unknown>[] = []
  for (const call of calls) {
    const known = keepables.get(call.name)
    if (!known) continue
    try {
      const argument = call.argument as never
      const key = await known.contentKey(argument)
      const value = await known.make(argument)
      kept.set(idOf(call), { key, value: Promise.resolve(value) })
      if (known.rehearsal) rehearsals.push(known.rehearsal(value))
    } catch {
      // met by the run
    }
  }
  for (const rehearsal of rehearsals)
    try {
      for (const _ of rehearsal) {
        await new Promise(setImmediate)
        if (wanted()) return
      }
    } catch {
      // met by the run
    }
}
