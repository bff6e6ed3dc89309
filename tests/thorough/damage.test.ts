import { expect, it } from 'vitest'
import { survives } from '../load/formats/damage.ts'

const RUNS = Number(process.env.DAMAGE_RUNS ?? 20_000)
const FIRST_SEED = Number(process.env.DAMAGE_SEED ?? 1_000_000)

it(`survives ${RUNS} damaged workbooks, archives, Parquet, JSON and FHIR files`, async () => {
  const outcomes = { read: 0, refused: 0 }
  for (let seed = FIRST_SEED; seed < FIRST_SEED + RUNS; seed++) outcomes[await survives(seed)]++
  expect(outcomes.read).toBeGreaterThan(RUNS / 5)
})
