import { describe, expect, it } from 'vitest'
import { nearestChoice, nearestChoices } from '../src/nearest.ts'

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

describe('nearestChoices', () => {
  const fields = ['client_id', 'record_id', 'reps', 'reps_per_session', 'sex', 'note']

  // By hand: words in common first, then fewest changes, of which half of the letters are the most.
  it.each([
    ['client', ['client_id']],
    ['client_idd', ['client_id']],
    ['rep', ['reps']],
    ['reps', ['reps', 'reps_per_session']],
    ['reps_a_session', ['reps_per_session', 'reps']],
    ['strokes', []],
  ])('finds what has something of %s', (written, near) => {
    expect(nearestChoices(written, fields, 4)).toEqual(near)
  })

  it('gives no more than were asked for', () => {
    expect(nearestChoices('reps', fields, 1)).toEqual(['reps'])
  })
})
