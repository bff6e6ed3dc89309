import { describe, expect, it } from 'vitest'
import { improvementFunnel } from '../../src/measures/index.ts'
import { client, line, on, recordsOf, scores } from './rows.ts'

const asOf = on('2024-12-31')
const DAYS = ['2024-01-01', '2024-03-25', '2024-06-01'] as const

/** Clients of one site whose scores fall; each occasion scored by so many raters. */
const caseload = (clients: number, raters: number) =>
  recordsOf({
    clients: Array.from({ length: clients }, (_, i) => client(`c${i}`, '2014-06-15', { site: 'Heron' })),
    assessments: Array.from({ length: clients }, (_, i) =>
      DAYS.flatMap((day, d) =>
        ['r1', 'r2'].slice(0, raters).flatMap((rater, r) =>
          // One point apart at the first occasion: two raters of every other client, or, with one rater, every other client.
          scores(`c${i}`, 'moro', 'midline', [
            [day, 4 - d - (i % 2 === 0 && d === 0 ? (raters === 1 ? 1 : r) : 0), rater],
          ]),
        ),
      ),
    ).flat(),
    programmes: Array.from({ length: clients }, (_, i) => line(`c${i}`, 'moro', 'midline', '2024-01-01')),
  })

// measures.md: "otherwise from an assumed ICC of 0.80, and every page that uses it says “assumed”"; amendments: "30 pairs from 10 clients".
describe('a funnel says that the measuring error is assumed', () => {
  it.each([
    [10, 1, true],
    [9, 2, true],
    [10, 2, false],
  ])('%i clients, three occasions, %i raters each: %s', (clients, raters, assumed) => {
    const { assumptions } = improvementFunnel(caseload(clients, raters), { asOf, by: 'site' })
    expect(assumptions.some((a) => /assumed/i.test(a))).toBe(assumed)
  })
})
