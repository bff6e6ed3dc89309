import { DECIDE, quoted } from './draftText.ts'
import type { ColumnDraft } from './suggestColumn.ts'

/** Where no column holds the client, the names of files or sheets may. */
export function nameLines(files: readonly string[], columns: readonly ColumnDraft[]): string[] {
  if (
    columns.some(({ known, proposed }) => known === 'client_id' || known === 'id' || proposed === 'client_id')
  )
    return []
  const sheet = files.every((file) => file.includes('#'))
  const names = files.map((file) =>
    sheet ? file.slice(file.indexOf('#') + 1) : file.slice(file.lastIndexOf('/') + 1),
  )
  const [before, after] = names.length > 1 ? sharedEnds(names) : ['', sheet ? '' : '.csv']
  return [
    `    # ${DECIDE}: no heading is known to hold the client. If ${sheet ? "a sheet's" : "a file's"} name does:`,
    `    # name: ${quoted(`${before}{client_id}${after}`)}`,
  ]
}

function sharedEnds(names: readonly string[]): [string, string] {
  const first = names[0] as string
  let start = 0
  while (start < first.length && names.every((name) => name[start] === first[start])) start++
  // A code is not cut in two: SM-0912 and SM-0913 differ in their last digit only.
  while (start > 0 && /[\p{L}\p{N}-]/u.test(first[start - 1] as string)) start--
  let end = 0
  while (end < first.length - start && names.every((name) => name.at(-1 - end) === first.at(-1 - end))) end++
  while (end > 0 && /[\p{L}\p{N}-]/u.test(first.at(-end) as string) && !first.slice(-end).startsWith('.'))
    end--
  return [first.slice(0, start), end === 0 ? '' : first.slice(-end)]
}
