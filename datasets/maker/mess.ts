import type { Random } from './random.ts'

/** A bad record that was put into a table on purpose, as the truth file lists it. */
export interface Planted {
  readonly kind: string
  readonly record: string
}

const at = (headings: readonly string[], ...names: readonly string[]): number =>
  headings.findIndex((h) => names.includes(h))

/**
 * Puts what real exports hold into a table of scores: a score off the scale, a date that is no date, a client nobody
 * knows, a record cut short, the same record twice, and a record that came back with another score.
 */
export function messUpScores(rng: Random, table: string[][], delimiter: string): Planted[] {
  const headings = table[0] as string[]
  const score = at(headings, 'Score', 'Score (0-4)', 'Score 0 to 4')
  const date = at(headings, 'Assessment date', 'Date assessed', 'Assessed on')
  const planted: Planted[] = []
  const put = (kind: string, change: (row: string[]) => string[]): void => {
    const i = rng.whole(1, table.length - 1)
    const row = change([...(table[i] as string[])])
    table.splice(i + 1, 0, row)
    planted.push({ kind, record: row.join(delimiter) })
  }
  const replaced = (row: string[], i: number, cell: string): string[] =>
    row.map((old, j) => (j === i ? cell : old))
  put('score_out_of_range', (row) => replaced(row, score, '6'))
  put('unreadable_number', (row) => replaced(row, score, 'n/a'))
  put('impossible_date', (row) => replaced(row, date, '2026-02-30'))
  put('unknown_client', (row) => replaced(row, 0, 'SM-9900'))
  put('ragged_row', (row) => row.slice(0, 4))
  put('duplicate_row', (row) => row)
  put('conflicting_duplicate', (row) => replaced(row, score, row[score] === '4' ? '3' : '4'))
  return planted
}

/** The same for a home log: unreadable figures are emptied, everything else is rejected. */
export function messUpSessions(rng: Random, table: string[][], delimiter: string): Planted[] {
  const headings = table[0] as string[]
  const reps = at(headings, 'Reps', 'Repetitions', 'No. of reps')
  const side = at(headings, 'Side', 'L/R', 'Body side')
  const planted: Planted[] = []
  const change = (kind: string, edit: (row: string[]) => string[]): void => {
    const i = rng.whole(1, table.length - 1)
    table[i] = edit([...(table[i] as string[])])
    planted.push({ kind, record: (table[i] as string[]).join(delimiter) })
  }
  const replaced = (row: string[], i: number, cell: string): string[] =>
    row.map((old, j) => (j === i ? cell : old))
  for (let n = 0; n < 3; n++)
    change('unreadable_number', (row) => replaced(row, reps, rng.pick(['lots', '10ish', '?'])))
  for (let n = 0; n < 2; n++) change('unknown_value', (row) => replaced(row, side, 'top'))
  change('unknown_client', (row) => replaced(row, 0, 'SM-9901'))
  change('ragged_row', (row) => [...row, 'stray'])
  return planted
}
