import { describe, expect, it } from 'vitest'
import { changeAccount } from '../../src/measures/change-account.ts'
import { HORIZONS } from '../../src/measures/change-pairs.ts'
import { attentionList } from '../../src/measures/index.ts'
import { allSeries } from '../../src/measures/series.ts'
import { prescribed } from './diary.ts'
import { client, line, on, recordsOf, scores } from './rows.ts'

// measures.md: "(b) 12 weeks ± 3; ... nearest wins, ties go to the earlier". From 1 January 2024 day 84 is 25 March.
describe('the follow-up at 12 weeks', () => {
  const followUp = (...dates: readonly (readonly [string, number])[]) => {
    const asOf = on('2024-12-31')
    const records = recordsOf({
      clients: [client('a', '2018-06-15')],
      assessments: scores('a', 'moro', 'midline', [['2023-12-20', 4], ...dates]),
      programmes: [line('a', 'moro', 'midline', '2024-01-01')],
    })
    return changeAccount(records, allSeries(records, { asOf }), HORIZONS.weeks12, asOf).pairs[0]?.followUp
  }

  it('is the nearest, also where it is the later of two, or of three', () => {
    // Days 74, 86 and 95: 10, 2 and 11 away.
    expect(followUp(['2024-03-15', 3], ['2024-03-27', 2])).toBe(2)
    expect(followUp(['2024-03-15', 3], ['2024-03-27', 2], ['2024-04-05', 1])).toBe(2)
    expect(followUp(['2024-03-15', 3], ['2024-04-04', 1])).toBe(3)
  })
})

describe('who was never assessed', () => {
  it('is told the days since the programme started', () => {
    const records = recordsOf({
      clients: [client('a', '2018-06-15')],
      programmes: [prescribed('a', 'moro', 'midline', '2024-03-01', null)],
    })
    const { entries } = attentionList(records, { asOf: on('2024-06-30') })
    // 30 days of March after the 1st, 30 of April, 31 of May, 30 of June: 121.
    expect(entries[0]!.reasons.find((r) => r.kind === 'overdue')?.evidence).toBe(
      'Never assessed; the programme started 121 days ago, on 2024-03-01.',
    )
  })
})
