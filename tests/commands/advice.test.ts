import { describe, expect, it } from 'vitest'
import { HOW_TO_FIX } from '../../src/commands/readReport.ts'
import { RULES, type Rule } from '../../src/records/index.ts'
import { lines, load } from '../load/folder.ts'

const scores = (...rows: string[]): string =>
  `${['Client ID,Assessment date,Reflex,Side,Score', ...rows].join('\n')}\n`

/** Each kind of problem that a line of the guide is said to mend: an export that has it, and what the line makes of it. */
const MENDED: readonly [Rule, string, string, string][] = [
  // Without a day above 12 no order is proven; day first, 03/04 is 3 April.
  [
    'ambiguous_date',
    scores('SM-1,03/04/2025,Moro,,2'),
    'dates: day-month-year',
    '2025-04-03,moro,midline,2,4',
  ],
  // ... and month first, 4 March.
  ['ambiguous_date', scores('SM-1,03/04/2025,Moro,,2'), 'month-day-year', '2025-03-04,moro,midline,2,4'],
  ['score_out_of_range', scores('SM-1,2025-03-04,Moro,,5'), 'scale: 5', '2025-03-04,moro,midline,5,5'],
  [
    'unknown_value',
    scores('SM-1,2025-03-04,Moro,front,2'),
    'words: { side: { mid: midline } }',
    '2025-03-04,moro,midline,2,4',
  ],
  ['unreadable_date', scores('SM-1,23.04.25,Moro,,2'), 'century: 2000', '2025-04-23,moro,midline,2,4'],
  [
    'unreadable_number',
    scores('SM-1,2025-03-04,Moro,,"1,5"'),
    'decimal: comma',
    '2025-03-04,moro,midline,1.5,4',
  ],
]

describe('what a report advises', () => {
  it.each(MENDED)('for %s mends it: %#', async (rule, export_, advised, row) => {
    expect(HOW_TO_FIX[rule]).toContain(advised)
    const before = await load({ 'scores.csv': export_ })
    expect(lines(before, 'problems')).toHaveLength(1)
    expect(lines(before, 'problems')[0]).toContain(`,${rule},rejected`)
    expect(lines(before, 'assessments')).toEqual([])

    // The example's word is the reader's to replace.
    const line = (advised.includes(':') ? advised : `dates: ${advised}`).replace('{ mid:', '{ front:')
    const after = await load({ 'scores.csv': export_, 'guide.yaml': `${line}\n` })
    expect(lines(after, 'problems')).toEqual([])
    expect(lines(after, 'assessments')).toEqual([`SM-1,${row},`])
  })

  it('names no line of the guide but those', () => {
    const entry = /\b(dates|scale|words|century|decimal|holds|no_value|columns): /
    const naming = RULES.filter((rule) => entry.test(HOW_TO_FIX[rule]))
    expect(naming.toSorted()).toEqual(
      [...new Set(MENDED.map(([rule]) => rule)), 'conflicting_duplicate'].toSorted(),
    )
  })

  it('for a conflict between two exports leaves the older one out', async () => {
    expect(HOW_TO_FIX.conflicting_duplicate).toContain('leave the older export out (holds: nothing)')
    const files = {
      'march.csv': scores('SM-1,2025-03-04,Moro,,2'),
      'april.csv': scores('SM-1,2025-03-04,Moro,,3'),
    }
    expect(lines(await load(files), 'assessments')).toEqual([])
    const guide = 'files:\n  - match: march.csv\n    holds: nothing\n'
    const after = await load({ ...files, 'guide.yaml': guide })
    expect(lines(after, 'problems')).toEqual([])
    expect(lines(after, 'assessments')).toEqual(['SM-1,2025-03-04,moro,midline,3,4,'])
  })

  it('never says to start, stop or change treatment', () => {
    for (const rule of RULES)
      expect(HOW_TO_FIX[rule]).not.toMatch(/\b(programme|treatment|session|dose|exercise)s?\b/)
  })
})
