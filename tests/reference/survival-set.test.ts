import { readFileSync } from 'node:fs'
import path from 'node:path'
import { describe, expect, it } from 'vitest'
import { type CaseTolerance, disagreements } from './adapters/agreement.ts'
import { bootstrapCase } from './adapters/bootstrap.ts'
import { type Adapter, type ReferenceInput, readCase } from './adapters/case-columns.ts'
import { kendallTheilSenCase, singleCaseCase } from './adapters/single-case.ts'
import { kaplanMeierCase, logRankCase, turnbullCase, weibullCase } from './adapters/survival.ts'

interface Case extends ReferenceInput {
  readonly id: string
  readonly method: string
  readonly tolerance: CaseTolerance
}

const adapters: Record<string, Adapter> = {
  'kaplan-meier': kaplanMeierCase,
  'log-rank': logRankCase,
  'interval-censored-npmle': turnbullCase,
  'interval-censored-weibull': weibullCase,
  bootstrap: bootstrapCase,
  'single-case': singleCaseCase,
  'kendall-theil-sen': kendallTheilSenCase,
}

// Computed in R on lung, veteran, aml and seeded draws: see survival-set/make-survival-set.R.
const folder = path.join(import.meta.dirname, 'survival-set')
const cases = JSON.parse(readFileSync(path.join(folder, 'values.json'), 'utf8')) as Case[]

describe('survival, bootstrap and single-case methods against R on data of our own choice', () => {
  it.each(cases.map((one) => [one.id, one] as const))('%s', (_, one) => {
    const found = adapters[one.method]!(readCase(one, folder))
    expect(disagreements(one.expected, found, one.tolerance)).toEqual([])
  })

  it('would notice a wrong value, a missing one, and one that should be undefined', () => {
    const tolerance = { rel: 1e-8, abs: 0, keys: { loose: { rel: 0.1 } } }
    expect(disagreements({ a: 1, loose: 1 }, { a: 1 + 1e-9, loose: 1.05 }, tolerance)).toEqual([])
    expect(disagreements({ a: 1 }, { a: 1.05 }, tolerance)).toHaveLength(1)
    expect(disagreements({ a: { b: [1, 2] } }, { a: { b: [1] } }, tolerance)).toHaveLength(1)
    expect(disagreements({ a: 1, b: null }, { b: 0 }, tolerance)).toHaveLength(2)
    expect(disagreements({ a: 'Infinity' }, { a: Number.POSITIVE_INFINITY }, tolerance)).toEqual([])
  })
})
