import { describe, expect, it } from 'vitest'
import { nearestChoice } from '../src/nearest.ts'

// By hand: a letter left out, added, changed or swapped with its neighbour is one change; a third of the letters may change.
describe('nearestChoice', () => {
  it.each([
    ['formt', 'format'],
    ['formatt', 'format'],
    ['farmat', 'format'],
    ['fromat', 'format'],
    ['cuont', 'count'],
  ])('takes %s for %s', (written, meant) => {
    expect(nearestChoice(written, ['format', 'count', 'out'])).toBe(meant)
  })

  it('says nothing where two are as near, or none is', () => {
    expect(nearestChoice('bat', ['cat', 'rat'])).toBeNull()
    expect(nearestChoice('parrot', ['cat', 'rat'])).toBeNull()
    expect(nearestChoice('x', [])).toBeNull()
  })

  it('compares in the form that is asked for', () => {
    expect(nearestChoice('FORMT', ['format'], (text) => text.toLowerCase())).toBe('format')
  })
})
