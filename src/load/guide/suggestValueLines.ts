import { fieldIn } from '../kindFields.ts'
import { WORDS_OF_FIELD } from './choices.ts'
import { DECIDE, oneLine, quoted, shortly } from './draftText.ts'
import type { Field, Kind } from './guide.ts'
import type { ColumnDraft } from './suggestColumn.ts'

/** Asks for the order of day and month where no date proves it. */
export function dateLines(columns: readonly ColumnDraft[]): string[] {
  const unclear = columns
    .filter(({ ambiguousDates }) => ambiguousDates)
    .map(({ heading }) => shortly(heading))
  if (unclear.length === 0) return []
  return [
    `    # ${DECIDE}: in ${unclear.join(', ')} nothing shows whether the day or the month comes first:`,
    '    # dates: day-month-year   or   dates: month-day-year',
  ]
}

/** Asks whether a comma is a decimal one. */
export function decimalLines(columns: readonly ColumnDraft[]): string[] {
  const unclear = columns.filter(({ commaNumbers }) => commaNumbers).map(({ heading }) => shortly(heading))
  if (unclear.length === 0) return []
  return [
    `    # ${DECIDE}: numbers with a comma in ${unclear.join(', ')}. If 1,5 is one and a half:`,
    '    # decimal: comma',
  ]
}

/** Asks what each text means that cannot be read, field by field. */
export function wordLines(columns: readonly ColumnDraft[], kind: Kind | null): string[] {
  const byField = new Map<string, Set<string>>()
  for (const { known, proposed, unread } of columns) {
    const meaning = known ?? proposed
    if (meaning === null || unread.length === 0) continue
    const field = (kind === null ? null : fieldIn(kind, meaning)) ?? meaning
    byField.set(field, new Set([...(byField.get(field) ?? []), ...unread]))
  }
  if (byField.size === 0) return []
  return [
    `    # ${DECIDE}: words that cannot be read as they stand. Say what each means; those left out come back as problems:`,
    '    # words:',
    ...[...byField].flatMap(([field, texts]) => [
      `    #   ${field}: # ${WORDS_OF_FIELD[field as Field]?.join(', ') ?? `numbers; a mark that is no score goes under no_value: { ${field}: [...] }`}`,
      ...[...texts].map((text) => `    #     ${quoted(oneLine(text))}: ?`),
    ]),
  ]
}
