import path from 'node:path'
import { describe, expect, it } from 'vitest'
import { ADAPTERS, computeCase, type ReferenceCase, readCases, readLeftOut } from './compute.ts'

// Expected numbers computed by R and its packages on published data: README.md says how, make-reference.R made them.
const FILE = path.join(import.meta.dirname, 'values.json')
const cases = readCases(FILE)

describe('the reference values', () => {
  it.each(cases.map((one) => [one.id, one] as const))('%s', (_, one) => {
    const outcome = computeCase(one, import.meta.dirname, readLeftOut())
    expect(outcome.error).toBeNull()
    expect(outcome.compared.filter((c) => !c.agrees)).toEqual([])
    expect(outcome.compared.length).toBeGreaterThan(0)
  })

  it('are of methods that all have an adapter', () => {
    expect([...new Set(cases.map((c) => c.method))].filter((method) => !(method in ADAPTERS))).toEqual([])
  })

  it('would notice a wrong number, a missing key and an unknown method', () => {
    const one = cases.find((c) => c.method === 'proportion')!
    const changed = (expected: object): ReferenceCase => ({
      ...one,
      expected: { ...one.expected, ...expected },
    })
    expect(computeCase(changed({ proportion: 0.5 }), '.').agrees).toBe(false)
    expect(computeCase(changed({ another_key: 1 }), '.').agrees).toBe(false)
    expect(computeCase({ ...one, method: 'no-such-method' }, '.').error).toMatch(/unknown method/)
  })

  it('leave at most one key in twenty out, each with a reason', () => {
    const keys = cases.reduce((sum, c) => sum + Object.keys(c.expected).length, 0)
    const left = readLeftOut()
    expect(left.length).toBeLessThanOrEqual(keys / 20)
    for (const { reason } of left) expect(reason.length).toBeGreaterThan(20)
  })
})
