import { describe, expect, it } from 'vitest'
import { loadBytes } from './layout.ts'
import { GUIDE, survives, WHOLE } from './mutations.ts'

const RUNS = Number(process.env.MUTATION_RUNS ?? 3000)
const FIRST_SEED = Number(process.env.MUTATION_SEED ?? 1)

describe('files damaged at random', () => {
  it('are whole to begin with', async () => {
    const { ledger, notRead } = await loadBytes(WHOLE, GUIDE)
    expect(notRead).toEqual([])
    expect(ledger.reduce((n, e) => n + e.kept, 0)).toBeGreaterThanOrEqual(10)
  })

  it(
    'always give accounts that add up, or a planned message',
    async () => {
      const outcomes = { read: 0, refused: 0 }
      for (let seed = FIRST_SEED; seed < FIRST_SEED + RUNS; seed++) outcomes[await survives(seed)]++
      // Most damage leaves something to read: a test that refused everything would prove nothing.
      expect(outcomes.read).toBeGreaterThan(RUNS / 2)
    },
    RUNS * 20 + 60_000,
  )
})
