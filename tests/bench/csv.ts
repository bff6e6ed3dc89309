import { formatDay } from '../../src/records/index.ts'

/** A cell of a result: numbers at full length, empty for null. */
export type Cell = string | number | null

/** A result file: header and rows, in pieces. */
export function* csv(columns: string, rows: Iterable<readonly Cell[]>): Generator<string> {
  let piece = `${columns.replaceAll(' ', ',')}\n`
  for (const row of rows) {
    piece += `${row.map(text).join(',')}\n`
    if (piece.length < 1 << 16) continue
    yield piece
    piece = ''
  }
  yield piece
}

const text = (cell: Cell): string => {
  if (typeof cell !== 'string') return cell === null ? '' : String(cell)
  return /[",\r\n]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell
}

const written = new Map<number, string>()

/** A day as text, worked out once. */
export function iso(day: number): string {
  let found = written.get(day)
  if (found === undefined) {
    found = formatDay(day)
    written.set(day, found)
  }
  return found
}
