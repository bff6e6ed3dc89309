import { beforeAll, describe, expect, it } from 'vitest'
import { makeRelease, type RiskReport } from '../../src/release/index.ts'
import { load } from '../load/folder.ts'

const SQRT_PI = Math.sqrt(Math.PI)

/**
 * Twelve clients, all started on 2026-01-01 with a Moro of 4 that is scored again 84 days on; ten days of one session
 * a day are prescribed. The six who consented (a to f) did all ten, the others (g to l) five.
 */
const AFTER: Record<string, number> = {
  a: 3,
  b: 3,
  c: 3,
  d: 2,
  e: 2,
  f: 2,
  g: 4,
  h: 4,
  i: 4,
  j: 3,
  k: 3,
  l: 3,
}
const ids = Object.keys(AFTER)
const consents = (id: string): boolean => id <= 'f'
const logOf = (id: string): string[] =>
  Array.from({ length: consents(id) ? 10 : 5 }, (_, d) => {
    // Each who consented had one skin reaction in ten sessions; the others none in five.
    const reaction = consents(id) && d === 3 ? 'skin' : 'none'
    return `${id},2026-01-${String(d + 1).padStart(2, '0')},Moro,midline,movement,10,${reaction}\n`
  })
const FILES = {
  'clients.csv': `Client ID,Date of birth,Sex,Site,Group,Research consent\n${ids
    .map((id) => `${id},2020-01-01,female,Heron,school,${consents(id) ? 'yes' : 'no'}\n`)
    .join('')}`,
  'assessments.csv': `Client ID,Date,Reflex,Side,Score,Rater\n${ids
    .map((id) => `${id},2026-01-01,Moro,midline,4,R\n${id},2026-03-26,Moro,midline,${AFTER[id]},R\n`)
    .join('')}`,
  'programmes.csv': `Client ID,Target,Side,Stimulus,Sessions per day,Reps per session,Starts on,Ends on\n${ids
    .map((id) => `${id},Moro,midline,movement,1,10,2026-01-01,2026-01-10\n`)
    .join('')}`,
  'log.csv': `Client ID,Date,Target,Side,Stimulus,Reps,Reaction\n${ids.flatMap(logOf).join('')}`,
}

describe('fidelity, worked out by hand', () => {
  let risk: RiskReport
  beforeAll(async () => {
    const { records, asOf } = await load(FILES)
    risk = makeRelease(records, { asOf, secret: new Uint8Array(32), k: 5, l: 1 }).risk
  })
  const figure = (start: string) => risk.fidelity.find((f) => f.figure.startsWith(start))!

  it('of the dose: 1 on the release; 0.75 on the records, half width 1.96 · 0.2611 ÷ √12', () => {
    // 12 doses, six of 1 and six of 0.5: mean 0.75, variance 12 · 0.25² ÷ 11
    const halfWidth = (1.96 * Math.sqrt((12 * 0.25 ** 2) / 11)) / Math.sqrt(12)
    expect(halfWidth).toBeCloseTo(0.1477, 4)
    expect(figure('Mean dose')).toEqual({
      figure: 'Mean dose fraction of a client, as logged',
      onRecords: expect.closeTo(0.75, 10),
      onRelease: expect.closeTo(1, 10),
      halfWidth: expect.closeTo(halfWidth, 10),
      parts: true, // 0.25 is more than 0.1477
    })
  })

  it('of the change: g from six people on the release, from twelve on the records', () => {
    // Release: changes −1 −1 −1 −2 −2 −2. Mean −1.5, SD √(6 · 0.25 ÷ 5); J(5) = Γ(5/2) ÷ (√(5/2) Γ(2)), Γ(5/2) = 3√π ÷ 4.
    const j5 = (3 * SQRT_PI) / 4 / Math.sqrt(2.5)
    const onRelease = (j5 * -1.5) / Math.sqrt(1.5 / 5)
    // Records: and 0 0 0 −1 −1 −1. Mean −1, SD √(6 ÷ 11); J(11) = Γ(11/2) ÷ (√(11/2) Γ(5)), Γ(11/2) = 945√π ÷ 32, Γ(5) = 24.
    const j11 = (945 * SQRT_PI) / 32 / (Math.sqrt(5.5) * 24)
    const onRecords = (j11 * -1) / Math.sqrt(6 / 11)
    expect([onRelease, onRecords].map((g) => g.toFixed(3))).toEqual(['-2.302', '-1.259'])
    const found = figure('Change at 12 weeks')
    expect(found.onRelease).toBeCloseTo(onRelease, 4)
    expect(found.onRecords).toBeCloseTo(onRecords, 6)
    // By the large-sample formula the half width is about 1.96 √(1/12 + 1.2592² ÷ 24) = 0.76; they part by 1.04.
    expect(found.halfWidth).toBeGreaterThan(0.6)
    expect(found.halfWidth).toBeLessThan(0.95)
    expect(found.parts).toBe(true)
  })

  it('of the reactions: 6 in 60 on the release, 6 in 90 on the records', () => {
    const found = figure('Reactions')
    expect(found.onRelease).toBeCloseTo(1000 * (6 / 60), 8)
    expect(found.onRecords).toBeCloseTo(1000 * (6 / 90), 8)
    expect(found.parts).toBe(Math.abs(100 - 66.6667) > found.halfWidth!)
  })

  it('warns of a figure that the release no longer holds', async () => {
    // Four of the six withdraw: two people are too few for a row of outcomes.
    const clients = FILES['clients.csv'].replace(/^([a-d],.*),yes$/gm, '$1,no')
    const { records, asOf } = await load({ ...FILES, 'clients.csv': clients })
    const made = makeRelease(records, { asOf, secret: new Uint8Array(32), k: 2, l: 1 })
    const found = made.risk.fidelity.find((f) => f.figure.startsWith('Change'))!
    expect(found).toMatchObject({ onRelease: null, parts: true })
  })
})
