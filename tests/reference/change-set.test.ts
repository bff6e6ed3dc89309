import path from 'node:path'
import { describe, expect, it } from 'vitest'
import { computeCase, readCases } from './compute.ts'

// Computed in R on immer, shoes, chickwts, esoph, precip and seeded draws: see change-set/make-change-set.R.
const folder = path.join(import.meta.dirname, 'change-set')
const cases = readCases(path.join(folder, 'values.json'))
const methods = [...new Set(cases.map((one) => one.method))]

describe('change, proportions, agreement and disclosure against R on data of our own choice', () => {
  it.each(methods)('%s', (method) => {
    const ours = cases.filter((one) => one.method === method)
    const outcomes = ours.map((one) => computeCase(one, folder))
    expect(outcomes.filter((o) => o.error !== null || o.compared.length === 0)).toEqual([])
    expect(outcomes.flatMap((o) => o.compared.filter((c) => !c.agrees).map((c) => [o.id, c]))).toEqual([])
  })

  it('covers the methods that the survival set does not, mixed models apart', () => {
    expect(methods.length).toBe(22)
  })
})
