const QUOTE = 34
const COMMA = 44
const LINE_END = 10

/** Where the cell ends that begins at `from`: the next comma or line end outside quotes, or the end of the text. */
function endOfCell(text: string, from: number): number {
  let at = from
  if (text.charCodeAt(at) === QUOTE) {
    // A doubled quote closes and opens again.
    do {
      const close = text.indexOf('"', at + 1)
      if (close < 0) return text.length
      at = close + 1
    } while (text.charCodeAt(at) === QUOTE)
  }
  for (; at < text.length; at++) {
    const code = text.charCodeAt(at)
    if (code === COMMA || code === LINE_END) break
  }
  return at
}

function cellAt(text: string, from: number, end: number): string {
  const cell = text.slice(from, end)
  return cell.charCodeAt(0) === QUOTE && cell.charCodeAt(cell.length - 1) === QUOTE && cell.length > 1
    ? cell.slice(1, -1).replaceAll('""', '"')
    : cell
}

/** Visits the rows of a CSV as a release writes it: commas, LF, quotes doubled. A row is the visitor's to keep. */
export function eachCsvRow(text: string, visit: (row: string[], index: number) => void): void {
  let row: string[] = []
  let index = 0
  for (let from = 0; from < text.length; ) {
    const end = endOfCell(text, from)
    row.push(cellAt(text, from, end))
    from = end + 1
    if (text.charCodeAt(end) === COMMA && from < text.length) continue
    if (text.charCodeAt(end) === COMMA) row.push('')
    visit(row, index++)
    row = []
  }
}

/** All rows of such a CSV. */
export function parseCsv(text: string): string[][] {
  const rows: string[][] = []
  eachCsvRow(text, (row) => rows.push(row))
  return rows
}
