/** Rows of cells of a CSV as a release writes it: commas, LF, quotes doubled. */
export function parseCsv(text: string): string[][] {
  const rows: string[][] = []
  let row: string[] = []
  for (const m of text.matchAll(/("(?:[^"]|"")*"|[^",\n]*)(,|\n|$)/g)) {
    const [whole, cell, end] = m
    if (whole === '' && row.length === 0) break
    row.push(cell!.startsWith('"') ? cell!.slice(1, -1).replaceAll('""', '"') : cell!)
    if (end === ',') continue
    rows.push(row)
    row = []
  }
  return rows
}
