import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { bounds, type CountRow, hideSmallCells } from '../../src/release/small-cells.ts'

const row = (...cells: number[]): CountRow => ({ cells, total: cells.reduce((a, b) => a + b, 0) })

/** Every row with this total that agrees with what is shown: what an attacker could write down. */
function rowsThatFit({ cells, total }: CountRow, hidden: readonly boolean[]): number[][] {
  let partial: { left: number; values: number[] }[] = [{ left: total, values: [] }]
  cells.forEach((count, c) => {
    partial = partial.flatMap(({ left, values }) => {
      const choices = hidden[c] ? Array.from({ length: left }, (_, i) => i + 1) : [count]
      return choices.filter((v) => v <= left).map((v) => ({ left: left - v, values: [...values, v] }))
    })
  })
  return partial.filter((p) => p.left === 0).map((p) => p.values)
}

describe('small cells', () => {
  it('hides a second cell where the total would give the first away', () => {
    // 100 asked: 90 none, 8 skin, 2 distress. With 2 hidden alone, 100 - 90 - 8 gives it back.
    expect(hideSmallCells(row(90, 8, 2, 0))).toEqual([false, true, true, false])
  })

  it('leaves two small cells of one row as they are when neither can be worked out', () => {
    expect(hideSmallCells(row(90, 3, 4, 0))).toEqual([false, true, true, false])
  })

  it('hides more where two hidden ones can only be 1 and 1', () => {
    expect(hideSmallCells(row(50, 1, 1, 7))).toEqual([false, true, true, true])
  })

  it('shows zeros and everything from five up', () => {
    expect(hideSmallCells(row(0, 5, 900))).toEqual([false, false, false])
  })

  const cells = fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 3, maxLength: 5 })

  it('leaves no hidden cell that only one row fits (all rows listed)', () => {
    fc.assert(
      fc.property(cells, (counts) => {
        const it = row(...counts)
        const hidden = hideSmallCells(it)
        expect(counts.some((v, c) => v > 0 && v < 5 && !hidden[c])).toBe(false)
        // a row of fewer than five in all is not released
        if (it.total < 5) return
        const fits = rowsThatFit(it, hidden)
        counts.forEach((_, c) => {
          if (hidden[c])
            expect(new Set(fits.map((t) => t[c])).size, JSON.stringify(counts)).toBeGreaterThan(1)
        })
      }),
      { numRuns: 500 },
    )
  })

  it('has bounds that are the lowest and highest of all rows that fit', () => {
    fc.assert(
      fc.property(cells, fc.array(fc.boolean(), { minLength: 5, maxLength: 5 }), (counts, mask) => {
        const it = row(...counts)
        const hidden = counts.map((v, c) => v > 0 && mask[c]!)
        const fits = rowsThatFit(it, hidden)
        bounds(it, hidden).forEach(({ low, high }, c) => {
          expect(low).toBe(Math.min(...fits.map((t) => t[c]!)))
          expect(high).toBe(Math.max(...fits.map((t) => t[c]!)))
        })
      }),
      { numRuns: 300 },
    )
  })
})
