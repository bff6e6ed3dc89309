import { describe, expect, it } from 'vitest'
import { finestAge, hierarchies } from '../../src/release/hierarchy.ts'
import { identifiersOf } from '../../src/release/identifiers.ts'
import { session } from '../measures/diary.ts'
import { client, recordsOf } from '../measures/rows.ts'

describe('the levels of age', () => {
  const { levels } = hierarchies().find((h) => h.column === 'age_band')!
  const ages = [
    ...Array.from({ length: 36 }, (_, m) => m),
    ...Array.from({ length: 100 }, (_, y) => 12 * (y + 3)),
  ]

  // release.md: "years to 89, 90 and over": no level may tell 90 from 95, or make a group of 89 and over.
  it('keep 89 apart from 90 as long as they tell any ages so high apart', () => {
    const first = levels[1]!
    expect([75, 89, 90, 99].map((years) => first.of(finestAge(12 * years)))).toEqual([
      '75 to 89 years',
      '75 to 89 years',
      '90 years and over',
      '90 years and over',
    ])
    for (const { of } of levels) expect(of(finestAge(12 * 90))).toBe(of(finestAge(12 * 99)))
  })

  // Full-domain generalisation (Samarati 2001): who is alike at one level is alike at every later one.
  it('only ever merge', () => {
    expect(levels.length).toBeGreaterThan(3)
    levels.slice(1).forEach((coarser, i) => {
      const parent = new Map<string, string>()
      for (const months of ages) {
        const [fine, coarse] = [levels[i]!.of(finestAge(months)), coarser.of(finestAge(months))]
        expect(parent.get(fine) ?? coarse).toBe(coarse)
        parent.set(fine, coarse)
      }
    })
    expect(new Set(ages.map((months) => levels.at(-1)!.of(finestAge(months)))).size).toBe(1)
  })
})

describe('what the leak scan seeks of notes', () => {
  it('is every note of three words or more, once', () => {
    const noted = (note: string | null) => ({ ...session('a', 'moro', 'midline', '2024-06-01'), note })
    const records = recordsOf({
      clients: [client('a', null)],
      sessions: ['fine', 'after bath', 'at Nan’s house', ' after  long   walk ', 'at Nan’s house', null].map(
        noted,
      ),
    })
    const found = [...identifiersOf(records, new Uint8Array(32))]
      .filter((i) => i.what === 'the text of a note')
      .map((i) => i.text)
    expect(found).toEqual(['at Nan’s house', ' after  long   walk '])
  })
})
