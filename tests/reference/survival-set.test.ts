import path from 'node:path'
import { describe, expect, it } from 'vitest'
import { computeCase, readCases } from './compute.ts'

// Computed in R on lung, veteran, aml and seeded draws: see survival-set/make-survival-set.R.
const folder = path.join(import.meta.dirname, 'survival-set')
const cases = readCases(path.join(folder, 'values.json'))

describe('survival, bootstrap and single-case methods against R on data of our own choice', () => {
  it.each(cases.map((one) => [one.id, one] as const))('%s', (_, one) => {
    const outcome = computeCase(one, folder)
    expect(outcome.error).toBeNull()
    expect(outcome.compared.length).toBeGreaterThan(5)
    expect(outcome.compared.filter((c) => !c.agrees)).toEqual([])
  })
})
