import type { RawTable } from '../raw.ts'
import type { TableRules } from './guide.ts'
import { type ColumnDraft, MOST_WORDS } from './suggestColumn.ts'

/** Tables for which one entry of a guide can speak. */
export type TableGroup = [RawTable, ...RawTable[]]

/** Tables with the same headings, in any order, of which the guide says the same: one entry can speak for them. */
export function tableGroups(
  tables: readonly RawTable[],
  rulesFor: (file: string) => TableRules,
): TableGroup[] {
  const groups = new Map<string, TableGroup>()
  for (const table of tables) {
    const { headings, file } = table
    const once = new Set(headings).size === headings.length
    const key = JSON.stringify([once ? headings.toSorted() : headings, rulesFor(file)])
    const group = groups.get(key)
    if (group === undefined) groups.set(key, [table])
    else group.push(table)
  }
  return [...groups.values()]
}

/** One draft for each column of the first table, with what the others of its group hold in the same column. */
export function joinedDrafts(drafts: readonly (readonly ColumnDraft[])[]): ColumnDraft[] {
  const [first = [], ...others] = drafts
  return first.map((draft, i) => {
    const same = others.flatMap(
      (other) =>
        (other[i]?.heading === draft.heading
          ? other[i]
          : other.find(({ heading }) => heading === draft.heading)) ?? [],
    )
    const all = [draft, ...same]
    const words = [...new Set(all.flatMap(({ words }) => words))]
    return {
      ...draft,
      proposed: all.find(({ proposed }) => proposed !== null)?.proposed ?? null,
      words: words.length > MOST_WORDS ? [] : words,
      unread: [...new Set(all.flatMap(({ unread }) => unread))],
      ambiguousDates: all.some(({ ambiguousDates }) => ambiguousDates),
      commaNumbers: all.some(({ commaNumbers }) => commaNumbers),
    }
  })
}
