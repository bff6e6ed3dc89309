import { describe, expect, it } from 'vitest'
import { survives, tablesOf, WHOLE } from './damage.ts'

const RUNS = Number(process.env.DAMAGE_RUNS ?? 600)
const FIRST_SEED = Number(process.env.DAMAGE_SEED ?? 1)

describe('packed, nested and binary files damaged at random', () => {
  it('are whole to begin with', async () => {
    for (const [file, { bytes, records }] of Object.entries(WHOLE)) {
      // A whole file is read however busy the machine is.
      const tables = await tablesOf(file, bytes, {}, 60_000)
      const found = tables.reduce(
        (sum, { length, recordOf }) =>
          sum + (recordOf === undefined ? length : new Set(Array.from(recordOf)).size),
        0,
      )
      expect(found, file).toBe(records)
      expect(tables.every(({ ragged }) => ragged.size === 0)).toBe(true)
    }
  }, 90_000)

  it(
    'always give accounts that add up, or a planned message',
    async () => {
      const outcomes = { read: 0, refused: 0 }
      for (let seed = FIRST_SEED; seed < FIRST_SEED + RUNS; seed++) outcomes[await survives(seed)]++
      // What is packed or checked by a sum is refused when it is damaged; text is read as far as it goes.
      expect(outcomes.read).toBeGreaterThan(RUNS / 5)
      expect(outcomes.refused).toBeGreaterThan(RUNS / 10)
    },
    RUNS * 100 + 60_000,
  )
})
