import { describe, expect, it } from 'vitest'
import { type Generalisation, generalise } from '../../src/release/generalise.ts'
import type { Hierarchy } from '../../src/release/hierarchy.ts'
import type { Subject } from '../../src/release/lattice.ts'
import { disclosureRisk } from '../../src/statistics/index.ts'

// All tables here are typed from memory of the papers named; figures counted by hand beside each.

const column = (name: string, ...levels: readonly ((x: string) => string)[]): Hierarchy => ({
  column: name,
  levels: [(x: string) => x, ...levels].map((of, i) => ({ name: `level ${i}`, of })),
})
const all = (word: string) => (): string => word
const table = (text: string): string[][] =>
  text
    .trim()
    .split('\n')
    .map((line) => line.trim().split(/ {2,}/))

describe('Sweeney, k-anonymity: a model for protecting privacy (IJUFKS 2002, 10(5), 557-570)', () => {
  // Figure 2: a table that is 2-anonymous on race, birth, gender and ZIP.
  const T = table(`
    Black  1965  m  0214*  short breath
    Black  1965  m  0214*  chest pain
    Black  1965  f  0213*  hypertension
    Black  1965  f  0213*  hypertension
    Black  1964  f  0213*  obesity
    Black  1964  f  0213*  chest pain
    White  1964  m  0213*  chest pain
    White  1964  m  0213*  obesity
    White  1964  m  0213*  short breath
    White  1967  m  0213*  chest pain
    White  1967  m  0213*  chest pain`)

  it('Figure 2 has k = 2, as the paper says, and tells the problem of four people by their class alone', () => {
    const found = disclosureRisk(
      T.map((row) => row.slice(0, 4)),
      T.map((row) => row[4]!),
    )
    // Classes of 2, 2, 2, 3 and 2: largest risk 1/2, mean 5 classes ÷ 11 people. Hypertension twice, chest pain twice: l = 1.
    expect(found).toMatchObject({ k: 2, lDistinct: 1, sampleUniques: 0, prosecutorRiskMax: 1 / 2 })
    expect(found.prosecutorRiskMean).toBeCloseTo(5 / 11, 12)
  })

  // The private table PT that is attacked by complementary releases.
  const PT = table(`
    black  9/20/1965   male    02141  short of breath
    black  2/14/1965   male    02141  chest pain
    black  10/23/1965  female  02138  painful eye
    black  8/24/1965   female  02138  wheezing
    black  11/7/1964   female  02138  obesity
    black  12/1/1964   female  02138  chest pain
    white  10/23/1964  male    02138  short of breath
    white  3/15/1965   female  02139  hypertension
    white  8/13/1964   male    02139  obesity
    white  5/5/1964    male    02139  fever
    white  2/13/1967   male    02138  vomiting
    white  3/21/1967   male    02138  back pain`)
  const people: readonly Subject[] = PT.map((row) => ({ finest: row.slice(0, 4), sensitive: row[4]! }))
  const hierarchies = [
    column('race', all('person')),
    column('birth', (d) => d.slice(-4), all('1960-69'), all('*')),
    column('gender', all('human')),
    column('ZIP', (z) => `${z.slice(0, 4)}*`, all('021**')),
  ]
  const at = (k: number, maxSuppressed: number): Generalisation =>
    generalise(people, hierarchies, { k, l: 1, maxSuppressed }) as Generalisation

  it('PT at birth year leaves two people alone: the white boy at 02138 and the white girl at 02139', () => {
    const found = at(2, 2 / 12)
    expect(found.levels).toEqual([0, 1, 0, 0])
    expect(found.values.flatMap((v, i) => (v === null ? [PT[i]![4]] : []))).toEqual([
      'short of breath',
      'hypertension',
    ])
    // Year merges 5, 5 and 2 of 12 dates: (10 · 4/11 + 2 · 1/11) ÷ 12 ÷ 4 columns; the two left out lose 1 for (4/11) ÷ 4.
    const kept = (10 * (4 / 11) + 2 * (1 / 11)) / 12 / 4
    expect(found.loss).toBeCloseTo(kept + (2 * (1 - 4 / 11 / 4)) / 12, 12)
  })

  it('PT with one person left out needs 0213* as well: year alone would leave out two', () => {
    const found = at(2, 1 / 12)
    expect(found).toMatchObject({ levels: [0, 1, 0, 1], suppressed: 1 })
    expect(PT[found.values.indexOf(null)]![4]).toBe('hypertension')
    expect(found.values[6]).toEqual(['white', '1964', 'male', '0213*'])
  })
})

describe('Samarati (IEEE TKDE 2001, 13(6)) and Sweeney (IJUFKS 2002, 10(5), 571-588): PT of race and ZIP', () => {
  const races = ['asian', 'black', 'white']
  const zips = ['02138', '02139', '02141', '02142']
  const people: readonly Subject[] = races.flatMap((r) =>
    zips.map((z) => ({ finest: [r, z], sensitive: '' })),
  )
  const hierarchies = [column('race', all('person')), column('ZIP', (z) => `${z.slice(0, 4)}*`, all('021**'))]

  it.each([
    // [race, ZIP]: smallest class, by hand. GT[1,0] and GT[0,1] are the minimal generalisations for k = 2.
    [0, 0, 1],
    [0, 1, 2],
    [0, 2, 4],
    [1, 0, 3],
    [1, 1, 6],
    [1, 2, 12],
  ])('GT[%i,%i] is %i-anonymous', (race, zip, k) => {
    const released = people.map(({ finest }) => [
      hierarchies[0]!.levels[race]!.of(finest[0]!),
      hierarchies[1]!.levels[zip]!.of(finest[1]!),
    ])
    expect(
      disclosureRisk(
        released,
        people.map(() => ''),
      ).k,
    ).toBe(k)
  })

  it.each([
    // Loss: race 1/2 at level 1; ZIP (1/3)/2 at level 1, 1/2 at level 2.
    [2, [0, 1], 1 / 6],
    // GT[1,0] and GT[0,2] both lose 1/2: the smaller tuple is taken.
    [3, [0, 2], 1 / 2],
    [4, [0, 2], 1 / 2],
    [5, [1, 1], 1 / 2 + 1 / 6],
    [7, [1, 2], 1],
  ])('for k = %i the least loss is at %j', (k, levels, loss) => {
    const found = generalise(people, hierarchies, { k, l: 1, maxSuppressed: 0 }) as Generalisation
    expect(found.levels).toEqual(levels)
    expect(found.loss).toBeCloseTo(loss, 12)
  })
})

describe('Machanavajjhala et al., l-diversity (ACM TKDD 2007, 1(1), article 3): the inpatient tables as published', () => {
  const conditions = [
    'Heart',
    'Heart',
    'Viral',
    'Viral',
    'Cancer',
    'Heart',
    'Viral',
    'Viral',
    ...Array(4).fill('Cancer'),
  ]

  it('Figure 2 is 4-anonymous and gives away cancer in the class of thirty-year-olds', () => {
    const rows = ['130** <30 *', '1485* >=40 *', '130** 3* *'].flatMap((c) => Array(4).fill(c.split(' ')))
    const found = disclosureRisk(rows, conditions)
    expect(found).toMatchObject({ k: 4, lDistinct: 1, prosecutorRiskMax: 1 / 4, prosecutorRiskMean: 3 / 12 })
  })

  it('Figure 3 is 3-diverse: 1305*, 1306* and 1485*, each with three conditions', () => {
    const zips = [
      '1305*',
      '1306*',
      '1306*',
      '1305*',
      ...Array(4).fill('1485*'),
      '1305*',
      '1305*',
      '1306*',
      '1306*',
    ]
    const found = disclosureRisk(
      zips.map((z) => [z, z === '1485*' ? '>40' : '<=40', '*']),
      conditions,
    )
    expect(found).toMatchObject({ k: 4, lDistinct: 3 })
  })
})
