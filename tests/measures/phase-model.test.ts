import { describe, expect, it } from 'vitest'
import { phaseDesign } from '../../src/measures/phase-design.ts'
import { phaseModel } from '../../src/measures/phase-model.ts'
import { phaseRows } from '../../src/measures/phase-rows.ts'
import { agreementOf, verdictOf } from '../../src/measures/phase-verdict.ts'
import { allSeries } from '../../src/measures/series.ts'
import { slopeEstimate } from '../../src/measures/slope-estimate.ts'
import { client, line, on, recordsOf, scores } from './rows.ts'
import { NO_EFFECT_MODEL, simulateCaseload } from './simulate.ts'

const AS_OF = on('2024-12-31')

/** A series with so many occasions before its start of 1 July and three after, 30 days apart. */
const withBefore = (id: string, before: number, birth: string | null = '2018-06-15') => ({
  client: client(id, birth),
  line: line(id, 'moro', 'midline', '2024-07-01'),
  scores: scores(
    id,
    'moro',
    'midline',
    Array.from({ length: before + 3 }, (_, i) => {
      const day = on('2024-07-01') - 30 * (before - i - 1) - 5
      return [new Date(day * 86400000).toISOString().slice(0, 10), 3 - (i % 2)] as const
    }),
  ),
})

const together = (parts: ReturnType<typeof withBefore>[]) =>
  recordsOf({
    clients: parts.map((p) => p.client),
    assessments: parts.flatMap((p) => p.scores),
    programmes: parts.map((p) => p.line),
  })

describe('the refusal', () => {
  const nine = Array.from({ length: 9 }, (_, i) => withBefore(`c${i}`, 2))

  it('says that growing up and the programme cannot be told apart with nine such series', () => {
    const result = phaseModel(together([...nine, withBefore('once', 1)]), { asOf: AS_OF })
    expect(result.verdict).toBe('cannot be told apart')
    expect(result.seriesWithTwoBefore).toBe(9)
    expect(result.sentence).toBe(
      'Growing up and the programme cannot be told apart: 9 series have two scores before the start, and 10 are needed.',
    )
    expect(result.linear).toEqual({ notComputed: result.sentence })
    expect(result.ordinal).toEqual(result.linear)
  })

  it('does not refuse ten', () => {
    const result = phaseModel(together([...nine, withBefore('tenth', 2)]), { asOf: AS_OF })
    expect(result.seriesWithTwoBefore).toBe(10)
    expect(result.verdict).not.toBe('cannot be told apart')
  })

  it('counts who does not enter: no programme, age unknown, due to go, one occasion', () => {
    const infant = withBefore('infant', 2, '2024-03-01')
    const result = phaseModel(
      together([
        ...nine,
        withBefore('unknown', 2, null),
        infant,
        { ...withBefore('none', 2), line: line('none', 'moro', 'midline', '2025-06-01') },
        { ...withBefore('single', 2), scores: scores('single', 'moro', 'midline', [['2024-06-20', 2]]) },
      ]),
      { asOf: AS_OF },
    )
    expect(result).toMatchObject({ enrolled: 13, n: 9 })
    expect(result.exclusions.map((e) => e.count)).toEqual([1, 1, 1, 1])
  })
})

describe('the terms', () => {
  const rowsOf = (before: number) => {
    const records = together(
      Array.from({ length: 10 }, (_, i) => withBefore(`c${i}`, before, `20${10 + i}-06-15`)),
    )
    const series = allSeries(records, { asOf: AS_OF })
    return phaseRows(series, new Map(records.clients.map((c) => [c.client_id, c])), 12)
  }

  it('mark the baseline, and the first occasion where ten series have a third between', () => {
    const three = rowsOf(3)
    const own = three.rows.slice(0, 6)
    expect(own.map((r) => r.baseline)).toEqual([0, 0, 1, 0, 0, 0])
    expect(own.map((r) => r.first)).toEqual([1, 0, 0, 0, 0, 0])
    // The baseline lies 5 days before the start, the first occasion 65.
    expect(own[0]!.months).toBeCloseTo(-65 / 30.4375, 12)
    expect(phaseDesign(three).terms).toContain('first occasion')
    const two = phaseDesign(rowsOf(2))
    expect(two.terms).not.toContain('first occasion')
    expect(two.cannotAllowFor[0]).toMatch(/^Only 0 series have three scores before the start/)
  })

  it('make the slope after the start the sum of two coefficients', () => {
    const design = phaseDesign(rowsOf(3))
    expect(design.terms.slice(0, 4)).toEqual([
      'intercept',
      'months',
      'months after the start',
      'baseline occasion',
    ])
    expect(design.rows[0]![design.difference]).toBe(0)
    expect(design.rows[5]![design.difference]).toBeCloseTo(85 / 30.4375, 12)
  })
})

describe('what the two models say together', () => {
  const model = (estimate: number, error: number) => ({
    difference: slopeEstimate(estimate, error, 1000, 0.95),
  })

  it('is a difference only where both exclude zero on one side', () => {
    expect(verdictOf(false, model(-0.1, 0.02) as never, model(-0.5, 0.1) as never)).toBe(
      'steeper fall after the start',
    )
    expect(verdictOf(false, model(0.1, 0.02) as never, model(0.5, 0.1) as never)).toBe(
      'less steep fall after the start',
    )
    expect(verdictOf(false, model(-0.1, 0.02) as never, model(-0.1, 0.1) as never)).toBe('models disagree')
    expect(verdictOf(false, model(-0.1, 0.2) as never, model(0.1, 0.2) as never)).toBe('no difference found')
  })

  it('disagree in sign, or where zero lies inside one interval only', () => {
    const agree = (a: readonly [number, number], b: readonly [number, number]) => {
      const found = agreementOf(model(...a) as never, model(...b) as never)
      if ('notComputed' in found) throw new Error(found.notComputed)
      return found
    }
    expect(agree([-0.1, 0.02], [-0.5, 0.1]).agree).toBe(true)
    expect(agree([-0.1, 0.2], [-0.5, 0.6]).agree).toBe(true)
    expect(agree([-0.1, 0.2], [0.1, 0.6])).toMatchObject({
      agree: false,
      sentence: expect.stringMatching(/directions/),
    })
    expect(agree([-0.1, 0.02], [-0.1, 0.6])).toMatchObject({
      agree: false,
      sentence: expect.stringMatching(/one of them/),
    })
  })
})

describe('simulated caseloads', () => {
  it('hold a true difference of slopes in the interval and report it', () => {
    // Written exactly, so the linear model holds: 200 clients, -0.12 points a month from the start (mean adherence 0.65).
    const { records, asOf, adherence } = simulateCaseload(21)
    const result = phaseModel(records, { asOf })
    if ('notComputed' in result.linear) throw new Error(result.linear.notComputed)
    const mean = [...adherence.values()].reduce((a, b) => a + b, 0) / adherence.size
    const truth = (-0.12 * mean) / 0.65
    expect(result.linear.difference.interval.lower!).toBeLessThan(truth)
    expect(result.linear.difference.interval.upper!).toBeGreaterThan(truth)
    expect(result.linear.before.interval.lower!).toBeLessThan(-0.03)
    expect(result.linear.before.interval.upper!).toBeGreaterThan(-0.03)
    expect(result.verdict).toBe('steeper fall after the start')
    expect(result.sentence).toMatch(/An association/)
    expect(result.linear.fit.converged).toBe(true)
  })

  it('without an effect report none, where children merely grow and high scores bring them in', () => {
    // The rate over 500 such caseloads is measured by `npm run coverage`.
    const { records, asOf } = simulateCaseload(4, NO_EFFECT_MODEL)
    const result = phaseModel(records, { asOf })
    expect(result.verdict).toBe('no difference found')
    expect(result.reading).toBe('association')
  })
})
