import { expect, it } from 'vitest'
import { IdentifierIndex } from '../../src/release/leak-finder.ts'

// release.md: "every cell and file name of the release is searched for every client id". Ids may begin alike and be of any length.
it('identifiers that begin alike are all found, whatever their lengths and order', () => {
  const ids = ['SM-12', 'SM-12-A', 'SM-12-A-7-K', 'SM-99']
  for (const order of [ids, ids.toReversed()]) {
    const find = new IdentifierIndex(order.map((text) => ({ what: text, text }))).finder()
    // Where one lies within another, the shorter is a hit as well: what matters is that something is.
    for (const id of ids) expect(find(`on file as ${id}.`), id).not.toBeNull()
  }
  const apart = ['SM-12', 'SM-7-A', 'SM-8-K-3']
  for (const order of [apart, apart.toReversed()]) {
    const find = new IdentifierIndex(order.map((text) => ({ what: text, text }))).finder()
    expect(apart.map((id) => find(`see ${id}`))).toEqual(apart)
    expect(['SM-7', 'SM-8-K', 'SM-13', 'SM'].map(find)).toEqual([null, null, null, null])
  }
})
