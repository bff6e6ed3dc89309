import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type CountRow, hideSmallCells } from '../../src/release/small-cells.ts'

const row = (...cells: number[]): CountRow => ({ cells, total: cells.reduce((a, b) => a + b, 0) })

/** What is published of a row, as one text. */
const published = (it: CountRow): string =>
  JSON.stringify([it.total, hideSmallCells(it)?.map((h, c) => (h ? 'hidden' : it.cells[c])) ?? 'no row'])

/** Every row of so many cells with this sum. */
function allRows(cells: number, total: number): number[][] {
  if (cells === 1) return [[total]]
  return Array.from({ length: total + 1 }, (_, v) =>
    allRows(cells - 1, total - v).map((r) => [v, ...r]),
  ).flat()
}

describe('small cells', () => {
  it.each([
    // 100 asked: 90 none, 8 skin, 2 distress. With 2 hidden alone, 100 - 90 - 8 gives it back.
    [
      [90, 8, 2, 0],
      [false, true, true, false],
    ],
    [
      [90, 3, 4, 0],
      [true, true, true, false],
    ],
    // both of the smallest larger ones, or their order would tell which was chosen
    [
      [5, 5, 4],
      [true, true, true],
    ],
    [
      [0, 5, 900],
      [false, false, false],
    ],
    [[1, 2, 0], null],
    [[1, 1, 1, 1, 1], null],
  ])('of %j hides %j', (cells, hidden) => expect(hideSmallCells(row(...cells))).toEqual(hidden))

  it('cannot be worked back by somebody who knows the total and the rule itself (all rows listed)', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 8 }), { minLength: 3, maxLength: 4 }), (cells) => {
        const it = row(...cells)
        const hidden = hideSmallCells(it)
        if (hidden === null) return
        expect(cells.some((v, c) => v > 0 && v < 5 && !hidden[c])).toBe(false)
        const alike = allRows(cells.length, it.total).filter((r) => published(row(...r)) === published(it))
        cells.forEach((_, c) => {
          if (hidden[c]) expect(new Set(alike.map((r) => r[c])).size).toBeGreaterThan(1)
        })
      }),
      { numRuns: 100 },
    )
  })
})
