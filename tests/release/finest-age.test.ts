import { describe, expect, it } from 'vitest'
import { UserError } from '../../src/errors.ts'
import { parseHierarchies } from '../../src/release/hierarchies-file.ts'
import { ageBands, finestAge } from '../../src/release/hierarchy.ts'

describe('the finest age that leaves', () => {
  // release.md: "months under 3 years, years to 89, 90 and over: 45 CFR 164.514(b)(2)".
  it.each([
    [0, '0 months'],
    [0.99, '0 months'],
    [1, '1 months'],
    [35.99, '35 months'],
    [36, '3 years'],
    [47.99, '3 years'],
    [89 * 12, '89 years'],
    [90 * 12 - 0.01, '89 years'],
    [90 * 12, '90 and over'],
    [104 * 12, '90 and over'],
  ])('of %f months is %s', (months, finest) => {
    expect(finestAge(months)).toBe(finest)
  })

  // "Unknown age is its own answer, never a guess": an unknown age is no newborn's.
  it.each([null, -0.5, Number.NaN])('of %s is not known', (months) => {
    expect(finestAge(months)).toBe('not known')
    expect(ageBands([0, 3, 18])(finestAge(months))).toBe('not known')
  })

  it('falls into bands by its lower bound, included, and the next, left out', () => {
    const band = ageBands([0, 3, 4, 18])
    expect(
      ['0 months', '35 months', '3 years', '4 years', '17 years', '18 years', '90 and over'].map(band),
    ).toEqual([
      '0 to 2 years',
      '0 to 2 years',
      '3 years',
      '4 to 17 years',
      '4 to 17 years',
      '18 years and over',
      '18 years and over',
    ])
    expect(ageBands([3, 18])('35 months')).toBe('under 3 years')
  })
})

describe('a fault in a file of hierarchies is told by its line', () => {
  const told = (text: string): string => {
    try {
      parseHierarchies(text, 'h.yaml')
    } catch (error) {
      if (error instanceof UserError) return error.message
      throw error
    }
    throw new Error('no fault was found')
  }

  it('that of the key, where what is wrong is all that stands below it', () => {
    expect(told('# ours\ngroups:\n  young:\n\n    a: b\n')).toMatch(/^h\.yaml:3: groups\.young: /)
    expect(told('sites:\n\n  - Heron\n')).toMatch(/^h\.yaml:1: sites: /)
  })

  it('that on which an item begins, where it has no key', () => {
    expect(told('age_bands:\n  - [0, 3]\n  - {a: 1,\n     b: 2,\n     c: 3}\n')).toMatch(
      /^h\.yaml:3: age_bands\.2: /,
    )
  })
})
