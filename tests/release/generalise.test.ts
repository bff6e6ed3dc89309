import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type Generalisation, generalise } from '../../src/release/generalise.ts'
import { type Hierarchy, hierarchies } from '../../src/release/hierarchy.ts'
import type { Subject } from '../../src/release/lattice.ts'

const words = (column: string, ...levels: readonly ((x: string) => string)[]): Hierarchy => ({
  column,
  levels: [(x: string) => x, ...levels].map((of, i) => ({ name: `level ${i}`, of })),
})
const star = (): string => '*'

/**
 * Figure 1 of Machanavajjhala, Kifer, Gehrke and Venkitasubramaniam (l-Diversity, ACM TKDD 2007, 1(1), article 3):
 * the inpatient microdata (typed from memory: zip code, age, nationality, condition). Figure 2 there is the
 * 4-anonymous table at zip 130**, 1485*; ages < 30, >= 40, 3*; nationality *. Figure 3 is 3-diverse at zip 1305*, 1306*, 1485*.
 */
const INPATIENTS: readonly (readonly [string, string, string, string])[] = [
  ['13053', '28', 'Russian', 'Heart Disease'],
  ['13068', '29', 'American', 'Heart Disease'],
  ['13068', '21', 'Japanese', 'Viral Infection'],
  ['13053', '23', 'American', 'Viral Infection'],
  ['14853', '50', 'Indian', 'Cancer'],
  ['14853', '55', 'Russian', 'Heart Disease'],
  ['14850', '47', 'American', 'Viral Infection'],
  ['14850', '49', 'American', 'Viral Infection'],
  ['13053', '31', 'American', 'Cancer'],
  ['13053', '37', 'Indian', 'Cancer'],
  ['13068', '36', 'Japanese', 'Cancer'],
  ['13068', '35', 'American', 'Cancer'],
]
const INPATIENT_HIERARCHIES: readonly Hierarchy[] = [
  words(
    'zip',
    (z) => (z === '*' ? z : `${z.slice(0, 4)}*`),
    (z) => (z === '*' ? z : `${z.slice(0, 3)}**`),
    star,
  ),
  words('age', (a) => (Number(a) < 30 ? '< 30' : Number(a) >= 40 ? '>= 40' : '3*'), star),
  words('nationality', star),
]
const inpatients: readonly Subject[] = INPATIENTS.map(([zip, age, nationality, sensitive]) => ({
  finest: [zip, age, nationality],
  sensitive,
}))

const classSizes = (g: Generalisation): Map<string, number> => {
  const sizes = new Map<string, number>()
  for (const v of g.values) if (v) sizes.set(JSON.stringify(v), (sizes.get(JSON.stringify(v)) ?? 0) + 1)
  return sizes
}

describe('full-domain generalisation', () => {
  it('reaches the 4-anonymity of the published inpatient table with three classes of four', () => {
    const g = generalise(inpatients, INPATIENT_HIERARCHIES, {
      k: 4,
      l: 1,
      maxSuppressed: 0,
    }) as Generalisation
    expect([...classSizes(g).values()]).toEqual([4, 4, 4])
    expect(g.levels).toEqual([2, 1, 1]) // 130**/148**, three age bands, nationality withheld: as Figure 2 but for 1485*
  })

  it('asks more of it for 3-diversity, since the third class of four has one condition only', () => {
    const g = generalise(inpatients, INPATIENT_HIERARCHIES, {
      k: 4,
      l: 3,
      maxSuppressed: 0,
    }) as Generalisation
    expect(g.levels).toEqual([1, 2, 1]) // 1305*, 1306*, 1485*; age withheld: Figure 3 of the paper
    for (const value of new Set(g.values.map((v) => JSON.stringify(v)))) {
      const conditions = inpatients
        .filter((_, i) => JSON.stringify(g.values[i]) === value)
        .map((s) => s.sensitive)
      expect(new Set(conditions).size).toBeGreaterThanOrEqual(3)
    }
  })

  it('says what could be reached where the request cannot be', () => {
    const found = generalise(inpatients, INPATIENT_HIERARCHIES, { k: 13, l: 4, maxSuppressed: 0 })
    // all twelve in one class, three conditions between them
    expect(found).toMatchObject({ reachable: null, bestK: 0, bestL: 0, suppressedNeeded: 1 })
    expect(generalise(inpatients, INPATIENT_HIERARCHIES, { k: 13, l: 3, maxSuppressed: 0 })).toMatchObject({
      bestK: 12,
    })
    expect(generalise(inpatients, INPATIENT_HIERARCHIES, { k: 4, l: 4, maxSuppressed: 0 })).toMatchObject({
      bestL: 3,
    })
  })

  const subject = fc.record({
    finest: fc.tuple(fc.constantFrom('a', 'b', 'c', 'd'), fc.constantFrom('x', 'y', 'z')).map((t) => [...t]),
    sensitive: fc.constantFrom('1', '2', '3'),
  })
  const small: readonly Hierarchy[] = [
    words('first', (v) => (v === 'a' || v === 'b' ? 'ab' : 'cd'), star),
    words('second', (v) => (v === 'x' ? 'x' : 'yz'), star),
  ]

  /** Independent road: every node tried by brute force, loss summed person by person. */
  function exhaustive(subjects: readonly Subject[], k: number, l: number, maxSuppressed: number) {
    let best: { loss: number; levels: number[] } | null = null
    for (let i = 0; i < 3; i++)
      for (let j = 0; j < 3; j++) {
        const released = subjects.map((s) => [
          small[0]!.levels[i]!.of(s.finest[0]!),
          small[1]!.levels[j]!.of(s.finest[1]!),
        ])
        const inClass = (n: number) => subjects.filter((_, m) => released[m]!.join() === released[n]!.join())
        const kept = subjects.map(
          (_, n) => inClass(n).length >= k && new Set(inClass(n).map((s) => s.sensitive)).size >= l,
        )
        const left = kept.filter((x) => !x).length
        if (left > maxSuppressed * subjects.length + 1e-9 || left === subjects.length) continue
        const loss =
          subjects.reduce((sum, s, n) => {
            if (!kept[n]) return sum + 1
            const own = [0, 1].map((c) => {
              const values = [...new Set(subjects.map((t) => t.finest[c]!))]
              const level = small[c]!.levels[c === 0 ? i : j]!
              const merged = values.filter((v) => level.of(v) === level.of(s.finest[c]!)).length
              return values.length < 2 ? 0 : (merged - 1) / (values.length - 1)
            })
            return sum + (own[0]! + own[1]!) / 2
          }, 0) / subjects.length
        if (!best || loss < best.loss - 1e-12) best = { loss, levels: [i, j] }
      }
    return best
  }

  it('finds what an exhaustive search finds, and is k-anonymous and l-diverse', () => {
    fc.assert(
      fc.property(
        fc.array(subject, { minLength: 1, maxLength: 25 }),
        fc.integer({ min: 1, max: 6 }),
        fc.integer({ min: 1, max: 3 }),
        fc.constantFrom(0, 0.1, 0.3),
        (subjects, k, l, maxSuppressed) => {
          const found = generalise(subjects, small, { k, l, maxSuppressed })
          const oracle = exhaustive(subjects, k, l, maxSuppressed)
          if ('reachable' in found) {
            expect(oracle).toBeNull()
            return
          }
          expect(found.loss).toBeCloseTo(oracle!.loss, 10)
          expect(found.levels).toEqual(oracle!.levels)
          for (const size of classSizes(found).values()) expect(size).toBeGreaterThanOrEqual(k)
        },
      ),
      { numRuns: 400 },
    )
  })

  it('gives the same answer whatever the order of the people', () => {
    const forward = generalise(inpatients, INPATIENT_HIERARCHIES, {
      k: 3,
      l: 2,
      maxSuppressed: 0.1,
    }) as Generalisation
    const backward = generalise([...inpatients].reverse(), INPATIENT_HIERARCHIES, {
      k: 3,
      l: 2,
      maxSuppressed: 0.1,
    }) as Generalisation
    expect(backward.levels).toEqual(forward.levels)
    expect([...backward.values].reverse()).toEqual(forward.values)
  })

  it('takes no people and one person', () => {
    expect(generalise([], hierarchies(), { k: 5, l: 2, maxSuppressed: 0 })).toMatchObject({
      values: [],
      suppressed: 0,
    })
    expect(
      generalise([{ finest: ['4 years', 'male', 'a', 'b'], sensitive: '1' }], hierarchies(), {
        k: 2,
        l: 1,
        maxSuppressed: 1,
      }),
    ).toMatchObject({ reachable: null, bestK: 0 })
  })
})
