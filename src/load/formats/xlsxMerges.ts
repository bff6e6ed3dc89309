import type * as XLSX from '@e965/xlsx'
import { UserError } from '../../errors.ts'

/** Cells that merged ranges may fill in one sheet. */
const MAX_FILLED_CELLS = 20_000_000

/** Rows of a sheet as text; a hole is an empty row. */
export type Grid = (string[] | undefined)[]

/**
 * Gives every row that a merged cell spans its value, down its first column. A cell merged across columns holds for its
 * first column only: what it would mean for the others nobody can tell. Rows that hold nothing else stay blank.
 *
 * @returns how many cells were filled
 */
export function fillMerged(
  file: string,
  grid: Grid,
  merges: readonly XLSX.Range[],
  firstRow: number,
): number {
  let spanned = 0
  let filled = 0
  for (const { s, e } of merges) {
    const value = grid[s.r]?.[s.c] ?? ''
    if (value === '' || s.r < firstRow) continue
    const last = Math.min(e.r, grid.length - 1)
    spanned += Math.max(0, last - s.r)
    if (spanned > MAX_FILLED_CELLS)
      throw new UserError(
        `${file} has merged cells over more than ${MAX_FILLED_CELLS} cells, which is not read.`,
      )
    for (let r = s.r + 1; r <= last; r++) {
      const row = grid[r]
      if (row === undefined || isBlankRow(row)) continue
      row[s.c] = value
      filled++
    }
  }
  return filled
}

export const isBlankRow = (row: readonly string[] | undefined): boolean =>
  row === undefined || row.every((cell) => cell === undefined || cell.trim() === '')

/**
 * Headings with the words of the cells merged above them (`Palm` over `L` and `R` gives `Palm L`, `Palm R`), where the
 * row above has at least two such groups; a single merged cell there is a title.
 */
export function withGroupHeadings(grid: Grid, row: number, merges: readonly XLSX.Range[]): string[] {
  const headings = Array.from(grid[row] ?? [], (text) => (text ?? '').trim())
  const groups = merges.filter(({ s, e }) => s.r === row - 1 && e.r === row - 1 && e.c > s.c)
  if (groups.length < 2) return headings
  for (const { s, e } of groups) {
    const group = (grid[row - 1]?.[s.c] ?? '').trim()
    for (let c = s.c; c <= e.c; c++) if (group !== '' && headings[c]) headings[c] = `${group} ${headings[c]}`
  }
  return headings
}
