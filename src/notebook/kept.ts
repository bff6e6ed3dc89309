import { collector } from './collector.ts'

/** A costly call that a notebook made: its name and its argument. */
export interface KeptCall {
  readonly name: string
  readonly argument: unknown
}

interface Keepable {
  readonly make: (argument: never) => Promise<unknown>
  readonly contentKey: (argument: never) => Promise<string>
}

interface Kept {
  readonly key: string
  readonly value: Promise<unknown>
}

const keepables = new Map<string, Keepable>()
const kept = new Map<string, Kept>()

const idOf = ({ name, argument }: KeptCall): string => JSON.stringify([name, argument])

/**
 * A function whose result `waneline watch` may make ahead, in the fresh process that waits for the next save. A result is
 * used once, and only if the content it was made from is still the same; otherwise, and outside `watch`, it is made anew.
 *
 * @param contentKey what the result depends on beside the argument: a digest of the files that are read
 */
export function keepable<A, R>(
  name: string,
  make: (argument: A) => Promise<R>,
  contentKey: (argument: A) => Promise<string>,
): (argument: A) => Promise<R> {
  keepables.set(name, { make, contentKey })
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

/** Makes ahead what the last run called. A failure is left for the run itself to meet. */
export async function makeAhead(calls: readonly KeptCall[]): Promise<void> {
  for (const call of calls) {
    const known = keepables.get(call.name)
    if (!known) continue
    try {
      const argument = call.argument as never
      const key = await known.contentKey(argument)
      const value = await known.make(argument)
      kept.set(idOf(call), { key, value: Promise.resolve(value) })
    } catch {
      // The run makes it itself, and its error names the notebook's line.
    }
  }
}
