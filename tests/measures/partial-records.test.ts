import { describe, expect, it } from 'vitest'
import {
  adherence,
  attentionList,
  clientCase,
  clientFlow,
  commonPractice,
  excludedCount,
  improvementFunnel,
  isComputed,
  type MeasureResult,
  reactions,
  safetyList,
  seriesStatuses,
} from '../../src/measures/index.ts'
import type { Records } from '../../src/records/index.ts'
import { prescribed, session } from './diary.ts'
import { client, on, recordsOf, scores } from './rows.ts'

const asOf = on('2024-06-30')
const A = client('a', '2018-01-01')

const PARTIAL: readonly (readonly [string, Records])[] = [
  ['nothing at all', recordsOf({ clients: [] })],
  ['clients only', recordsOf({ clients: [A, client('b', null)] })],
  [
    'scores only',
    recordsOf({ clients: [A], assessments: scores('a', 'moro', 'midline', [['2024-01-01', 2]]) }),
  ],
  [
    'programmes only',
    recordsOf({ clients: [A], programmes: [prescribed('a', 'moro', 'midline', '2024-01-01', null)] }),
  ],
  ['sessions only', recordsOf({ clients: [A], sessions: [session('a', 'moro', 'midline', '2024-01-01')] })],
  [
    'only the future',
    recordsOf({
      clients: [A],
      assessments: scores('a', 'moro', 'midline', [['2025-01-01', 2]]),
      programmes: [prescribed('a', 'moro', 'midline', '2025-01-01', null)],
      sessions: [
        session('a', 'moro', 'midline', '2025-01-01', { reaction: 'seizure', stimulus: 'electrical' }),
      ],
    }),
  ],
  [
    'a stranger’s records',
    recordsOf({
      clients: [A],
      assessments: scores('x', 'moro', 'midline', [['2024-01-01', 2]]),
      programmes: [prescribed('y', 'moro', 'midline', '2024-01-01', null)],
      sessions: [session('z', 'moro', 'midline', '2024-01-01', { reaction: 'seizure' })],
    }),
  ],
]

const MEASURES: readonly (readonly [string, (records: Records) => MeasureResult])[] = [
  ['adherence', (r) => adherence(r, { asOf })],
  ['persistence', (r) => adherence(r, { asOf }).persistence],
  ['status', (r) => seriesStatuses(r, { asOf })],
  ['same-day list', (r) => safetyList(r, { asOf })],
  ['attention', (r) => attentionList(r, { asOf })],
  ['reactions', (r) => reactions(r, { asOf })],
  ['flow', (r) => clientFlow(r, { asOf })],
  ['funnel by clinician', (r) => improvementFunnel(r, { asOf, by: 'clinician' })],
  ['funnel by site', (r) => improvementFunnel(r, { asOf, by: 'site' })],
  ['common practice', (r) => commonPractice(r, { asOf })],
]

/** Every number in a result, wherever it stands. */
function numbersIn(value: unknown, path = ''): [string, number][] {
  if (typeof value === 'number') return [[path, value]]
  if (value === null || typeof value !== 'object' || ArrayBuffer.isView(value)) return []
  return Object.entries(value).flatMap(([key, part]) => numbersIn(part, `${path}.${key}`))
}

describe.each(PARTIAL)('with %s', (_, records) => {
  it.each(MEASURES)('%s accounts for all and has no NaN', (_name, measure) => {
    const result = measure(records)
    expect(result.enrolled).toBe(result.n + excludedCount(result.exclusions))
    expect(numbersIn(result).filter(([, x]) => Number.isNaN(x))).toEqual([])
    expect(result.readingNote).not.toBe('')
    expect(result.method).not.toBe('')
  })
})

describe('what cannot be computed', () => {
  it('says why in a sentence', () => {
    const none = recordsOf({ clients: [A] })
    const { funnel } = improvementFunnel(none, { asOf, by: 'site' })
    expect(isComputed(funnel)).toBe(false)
    expect(isComputed(funnel) ? '' : funnel.notComputed).toMatch(/^[A-Z].*\.$/)
    const { difference } = seriesStatuses(none, { asOf })
    expect(isComputed(difference) ? '' : difference.notComputed).toMatch(/^[A-Z].*\.$/)
  })

  it('leaves a page for a client without assessments or sessions', () => {
    const one = clientCase(recordsOf({ clients: [A] }), 'a', { asOf })
    expect(one).toMatchObject({ enrolled: 0, cases: [], lines: [], adherence: null, phases: [] })
    expect(one.ageMonths).toBeCloseTo((asOf - on('2018-01-01')) / 30.4375, 12)
  })

  it('shows nothing of what happens after the as-of day', () => {
    const future = PARTIAL.find(([name]) => name === 'only the future')![1]
    expect(safetyList(future, { asOf }).today).toEqual([])
    expect(seriesStatuses(future, { asOf }).series).toEqual([])
    expect(adherence(future, { asOf }).lines).toEqual([])
  })
})
