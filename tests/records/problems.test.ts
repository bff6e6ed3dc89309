import { describe, expect, it } from 'vitest'
import {
  csvOf,
  type Problem,
  problemTable,
  type Records,
  sessionTable,
  withProblems,
} from '../../src/records/index.ts'

const problem = (more: Partial<Problem>): Problem => ({
  file: 'b.csv',
  record: 10,
  field: '',
  value: '',
  rule: 'duplicate_row',
  outcome: 'rejected',
  ...more,
})
const found: readonly Problem[] = [
  problem({}),
  problem({ record: 9, field: 'side', value: 'a "side", b', rule: 'unknown_value' }),
  problem({ record: 10, field: 'client_id', value: 'b.csv', rule: 'unknown_client', outcome: 'kept' }),
  problem({ file: 'a.csv', record: 200 }),
]
const others = { clients: [], assessments: [], programmes: [], sessions: sessionTable([]) }

describe('problems by column', () => {
  it('are the same as objects, in the order they were found', () => {
    expect(withProblems(others, problemTable(found)).problems).toEqual(found)
  })

  it('are written as the objects are: by file, record (as a number) and so on, from left to right', () => {
    const written = [
      'file,record,field,value,rule,outcome',
      'a.csv,200,,,duplicate_row,rejected',
      'b.csv,9,side,"a ""side"", b",unknown_value,rejected',
      'b.csv,10,,,duplicate_row,rejected',
      'b.csv,10,client_id,b.csv,unknown_client,kept',
      '',
    ].join('\n')
    const text = (records: Records): string => [...csvOf(records, 'problems')].join('')
    expect(text({ ...others, problems: found })).toBe(written)
    expect(text(withProblems(others, problemTable(found)))).toBe(written)
  })

  it('leave no table behind in a copy with other problems', () => {
    const copy: Records = { ...withProblems(others, problemTable(found)), problems: [] }
    expect([...csvOf(copy, 'problems')].join('')).toBe('file,record,field,value,rule,outcome\n')
  })
})
