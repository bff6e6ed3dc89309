import { describe, expect, it } from 'vitest'
import { beforeAndAfter } from '../../src/measures/before-and-after.ts'
import { client, line, on, recordsOf, scores } from './rows.ts'
import { simulateCaseload } from './simulate.ts'

const START = '2024-01-01'

/**
 * Five clients, spinal Galant left and right, baseline 20 December, follow-up 25 March (day 84):
 *
 *   client  left     right    mean before  mean after  change
 *   a       4 → 2    3 → 1    3.5          1.5         -2
 *   b       3 → 2    3 → 2    3            2           -1
 *   c       2 → 2    2 → 2    2            2            0
 *   d       4 → 1             4            1           -3
 *   e       2 → 3             2            3           +1
 *
 * n = 5, mean change -1, deviations -1 0 1 -2 2, SS 10, s² = 2.5, s = 1.5811, d_z = -0.63246.
 * J(4) = Γ(2) / (√2 Γ(1.5)) = 1 / (1.41421 × 0.886227) = 0.797885; g = -0.504626.
 */
const records = recordsOf({
  clients: ['a', 'b', 'c', 'd', 'e'].map((id, i) =>
    client(id, '2018-06-15', { site: i < 3 ? 'Heron' : 'Curlew' }),
  ),
  assessments: (
    [
      ['a', 'left', 4, 2],
      ['a', 'right', 3, 1],
      ['b', 'left', 3, 2],
      ['b', 'right', 3, 2],
      ['c', 'left', 2, 2],
      ['c', 'right', 2, 2],
      ['d', 'left', 4, 1],
      ['e', 'left', 2, 3],
    ] as const
  ).flatMap(([id, side, before, after]) =>
    scores(id, 'spinal_galant', side, [
      ['2023-12-20', before],
      ['2024-03-25', after],
    ]),
  ),
  programmes: ['a', 'b', 'c', 'd', 'e'].flatMap((id) => [
    line(id, 'spinal_galant', 'left', START),
    line(id, 'spinal_galant', 'right', START),
  ]),
})

describe('before and after', () => {
  const { horizons, headline, difference } = beforeAndAfter(records, { asOf: on('2024-12-31'), draws: 499 })
  const at12 = horizons[headline]
  const galant = at12.byReflex[0]!

  it('takes the client as the unit', () => {
    expect(headline).toBe('weeks12')
    expect(galant).toMatchObject({ label: 'spinal_galant', clients: 5, series: 8, meanChange: -1 })
    // (3.5 + 3 + 2 + 4 + 2) / 5 and (1.5 + 2 + 2 + 1 + 3) / 5
    expect(galant.baselineMean).toBeCloseTo(2.9, 12)
    expect(galant.followUpMean).toBeCloseTo(1.9, 12)
    if ('notComputed' in galant.effect) throw new Error(galant.effect.notComputed)
    expect(galant.effect.dZ).toBeCloseTo(-1 / Math.sqrt(2.5), 12)
    expect(galant.effect.hedgesG).toBeCloseTo(-0.504626, 5)
    // Means of the standard deviations before, √(3.2 / 4) = 0.894427, and after, √(2.2 / 4) = 0.741620: 0.818024.
    expect(galant.effect.dAv).toBeCloseTo(-1 / 0.8180235, 5)
  })

  it('ranks the changes: -1 and +1 share rank 1.5, -2 has 3, -3 has 4', () => {
    if ('notComputed' in galant.wilcoxon || 'notComputed' in galant.rankBiserial)
      throw new Error('not computed')
    expect(galant.wilcoxon).toMatchObject({ wPlus: 1.5, wMinus: 8.5, nRanked: 4, nZero: 1 })
    // Sums W+ of subsets of {1.5, 1.5, 3, 4}: 0, 1.5, 1.5 are at most 1.5: 3 of 16, two-sided 6/16.
    expect(galant.p).toBeCloseTo(6 / 16, 12)
    expect(galant.pHolm).toBe(galant.p)
    expect(galant.rankBiserial.estimate).toBeCloseTo((1.5 - 8.5) / 10, 12)
  })

  it('counts reliable improvement among series that could improve, the difference marked as assumed', () => {
    if ('notComputed' in difference || 'notComputed' in galant.improved) throw new Error('not computed')
    // Eight baselines 4 3 3 3 2 2 4 2: mean 2.875, SS 4.875, SD 0.834523; 1.96 √2 SD √0.2 = 1.034489 points.
    expect(difference.severity * 4).toBeCloseTo(1.034489, 5)
    // All eight start above it. -2 -2 -3 exceed it; -1 does not.
    expect(galant.improved).toMatchObject({ events: 3, n: 8, notEligible: 0, assumed: true })
    expect(at12.assumptions[0]).toMatch(/^Assumed:/)
  })

  it('gives the figure over all from a mixed model, with a bootstrap of clients beside it', () => {
    const { mixedModel, bootstrap, byClient } = at12.overall
    if ('notComputed' in mixedModel || 'notComputed' in bootstrap) throw new Error('not computed')
    // Sides of one client agree wholly, so REML gives no residual: the mean tends to that of the five clients, -1.
    expect(mixedModel.change.estimate).toBeCloseTo(-1, 3)
    expect(mixedModel.change.df).toBe(4)
    expect(byClient.meanChange).toBe(-1)
    // Mean of the eight series: (-2 -2 -1 -1 0 0 -3 +1) / 8
    expect(bootstrap.estimate).toBe(-1)
    expect(bootstrap.nClusters).toBe(5)
  })

  it('shows site, age group and side apart', () => {
    expect(at12.bySite.map((r) => [r.label, r.clients, r.meanChange])).toEqual([
      ['Curlew', 2, -1],
      ['Heron', 3, -1],
    ])
    expect(at12.byAgeGroup.map((r) => [r.label, r.clients])).toEqual([['3 to 5 years', 5]])
    // Left: -2 -1 0 -3 +1; right: -2 -1 0.
    expect(at12.bySide.map((r) => [r.label, r.clients, r.meanChange])).toEqual([
      ['left', 5, -1],
      ['right', 3, -1],
    ])
  })

  it('adjusts over reflexes by Holm and says where nothing can be computed', () => {
    const two = recordsOf({
      clients: records.clients,
      assessments: [
        ...records.assessments,
        ...scores('a', 'moro', 'midline', [
          ['2023-12-20', 3],
          ['2024-03-25', 1],
        ]),
      ],
      programmes: [...records.programmes, line('a', 'moro', 'midline', START)],
    })
    const [moro, own] = beforeAndAfter(two, { asOf: on('2024-12-31'), draws: 99 }).horizons.weeks12.byReflex
    // p of one client is 1; of spinal Galant 6/16. Holm: 2 × 6/16 = 0.75 and max(0.75, 1) = 1.
    expect([moro!.label, moro!.p, moro!.pHolm]).toEqual(['moro', 1, 1])
    expect(own!.pHolm).toBeCloseTo(0.75, 12)
  })

  it('shows age-appropriate series apart, and an empty clinic without failing', () => {
    const infant = recordsOf({
      clients: [client('i', '2023-09-01')],
      assessments: scores('i', 'moro', 'midline', [
        ['2023-12-20', 3],
        ['2024-03-25', 0],
      ]),
      programmes: [line('i', 'moro', 'midline', START)],
    })
    const apart = beforeAndAfter(infant, { asOf: on('2024-12-31') }).horizons.weeks12
    expect(apart).toMatchObject({ enrolled: 1, n: 0 })
    expect(apart.ageAppropriate.map((r) => [r.label, r.clients, r.meanChange])).toEqual([['moro', 1, -3]])
    const empty = beforeAndAfter(recordsOf({ clients: [] }), { asOf: on('2024-12-31') }).horizons.weeks12
    expect(empty).toMatchObject({ enrolled: 0, n: 0, byReflex: [] })
    expect('notComputed' in empty.overall.mixedModel).toBe(true)
  })
})

describe('a simulated caseload of 2,000 clients', () => {
  it('holds the true change over 12 weeks in its intervals, and accounts for everyone', () => {
    // Growth -0.03 a month, programme -0.12: from the baseline (7.5 days before the start on average) to the follow-up.
    const { records: simulated, asOf } = simulateCaseload(11, { clients: 2000, reflexesPerClient: 3 })
    const { weeks12 } = beforeAndAfter(simulated, { asOf, draws: 499 }).horizons
    const { pairs, overall, clients } = weeks12
    const expected =
      pairs.reduce((sum, p) => {
        const months = (p.followUpOn - p.start) / 30.4375
        const before = (p.start - p.baselineOn) / 30.4375
        return sum - 0.03 * (months + before) - 0.12 * months
      }, 0) / pairs.length
    if ('notComputed' in overall.mixedModel || 'notComputed' in overall.bootstrap)
      throw new Error('not computed')
    const { lower, upper } = overall.mixedModel.change.interval
    expect(lower!).toBeLessThan(expected)
    expect(upper!).toBeGreaterThan(expected)
    expect(overall.bootstrap.bca.lower!).toBeLessThan(expected)
    expect(overall.bootstrap.bca.upper!).toBeGreaterThan(expected)
    expect(clients.enrolled).toBe(clients.n + clients.exclusions.reduce((sum, e) => sum + e.count, 0))
    expect(clients.enrolled).toBe(2000)
  })
})
