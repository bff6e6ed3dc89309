import { describe, expect, it } from 'vitest'
import { beginCollecting, type Collector } from '../../src/notebook/collector.ts'
import { keepable, makeAhead } from '../../src/notebook/kept.ts'

const COLLECTOR: Collector = {
  notebook: '/n.ts',
  given: {},
  origin: {},
  describeOnly: false,
  shown: [],
  inputs: [],
  declared: [],
  values: {},
  withheld: null,
  keep: [],
  at: () => {},
}

/** A costly function that counts, on files that may change. */
function costly(name: string, rehearsal?: () => Iterable<unknown>) {
  const state = { content: 'as it was', made: 0 }
  const call = keepable(name, {
    make: async (n: number) => {
      state.made++
      return { of: n, from: state.content }
    },
    contentKey: async () => state.content,
    ...(rehearsal && { rehearsal }),
  })
  return { state, call }
}

const never = (): boolean => false

describe('what a waiting process makes ahead', () => {
  it('is used once, and only while the content is the same', async () => {
    beginCollecting({ ...COLLECTOR, keep: [] })
    const { state, call } = costly('once')
    await makeAhead([{ name: 'once', argument: 3 }], never)
    expect(state.made).toBe(1)
    expect(await call(3)).toEqual({ of: 3, from: 'as it was' })
    expect(state.made).toBe(1)
    expect(await call(3)).toEqual({ of: 3, from: 'as it was' })
    expect(state.made).toBe(2)

    await makeAhead([{ name: 'once', argument: 3 }], never)
    state.content = 'changed'
    expect(await call(3)).toEqual({ of: 3, from: 'changed' })
  })

  it('rehearses step by step and stops when a run is wanted', async () => {
    const steps: number[] = []
    const { call } = costly('rehearsed', function* () {
      for (let i = 1; i <= 5; i++) {
        steps.push(i)
        yield
      }
    })
    await makeAhead([{ name: 'rehearsed', argument: 1 }], () => steps.length >= 2)
    expect(steps).toEqual([1, 2])
    expect(await call(1)).toEqual({ of: 1, from: 'as it was' })
  })

  it('leaves a failure to the run: what was made stays good', async () => {
    beginCollecting({ ...COLLECTOR, keep: [] })
    const { state, call } = costly('fails', () => {
      throw new Error('a measure that these records do not allow')
    })
    await makeAhead(
      [
        { name: 'not known', argument: 0 },
        { name: 'fails', argument: 1 },
      ],
      never,
    )
    expect(await call(1)).toEqual({ of: 1, from: 'as it was' })
    expect(state.made).toBe(1)
  })
})
