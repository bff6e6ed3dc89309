import type { ReadContext } from '../context.ts'
import type { FileRules, ReadingGuide, TableRules } from './guide.ts'

/** What a guide says about each table. */
export function guideContext(guide: ReadingGuide): ReadContext {
  const { files = [], ...top } = guide
  return {
    rulesFor: (table) => files.filter((entry) => matches(entry, table)).reduce(joined, top as TableRules),
    names: (table) =>
      files.some(
        (entry) =>
          matches(entry, table) &&
          patterns(entry).some(
            (p) => p.includes('#') && !/[*?]/.test(p.slice(p.indexOf('#'))) && matchesPattern(p, table),
          ),
      ),
  }
}

const patterns = (entry: FileRules): readonly string[] =>
  typeof entry.match === 'string' ? [entry.match] : entry.match

const matches = (entry: FileRules, table: string): boolean =>
  patterns(entry).some((pattern) => matchesPattern(pattern, table))

function matchesPattern(pattern: string, table: string): boolean {
  const [path = '', sheet] = cut(table)
  const [wantedPath = '', wantedSheet] = cut(pattern)
  if (wantedSheet !== undefined && (sheet === undefined || !glob(wantedSheet).test(sheet))) return false
  const base = path.slice(path.lastIndexOf('/') + 1)
  const names = wantedPath.includes('/') ? [path] : [path, base]
  const expression = glob(wantedPath)
  return (
    wantedPath === '' ||
    names.some((name) => expression.test(name) || expression.test(name.replace(/\.gz$/i, '')))
  )
}

const cut = (name: string): readonly [string, string?] => {
  const at = name.indexOf('#')
  return at < 0 ? [name] : [name.slice(0, at), name.slice(at + 1)]
}

function glob(pattern: string): RegExp {
  const source = pattern.replace(/\*\*\/|\*\*|[*?]|[.+^${}()|[\]\\]/g, (part) =>
    part === '**/'
      ? '(?:.*/)?'
      : part === '**'
        ? '.*'
        : part === '*'
          ? '[^/]*'
          : part === '?'
            ? '[^/]'
            : `\\${part}`,
  )
  return new RegExp(`^${source}$`, 'iu')
}

/** The later rules win, key by key; what is gathered by name (columns, words, ...) is joined. */
function joined(under: TableRules, over: FileRules): TableRules {
  const { match: _, ...rules } = over
  const result: Record<string, unknown> = { ...under, ...rules }
  for (const key of ['columns', 'constants', 'above', 'units', 'date_words'] as const)
    if (under[key] !== undefined && over[key] !== undefined) result[key] = { ...under[key], ...over[key] }
  for (const key of ['words'] as const)
    if (under[key] !== undefined && over[key] !== undefined) result[key] = joinedDeep(under[key], over[key])
  for (const key of ['dates', 'century', 'no_value'] as const) {
    const [a, b] = [under[key], over[key]]
    if (isByField(a) && isByField(b)) result[key] = { ...a, ...b }
  }
  return result as TableRules
}

const isByField = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value)

function joinedDeep(under: object, over: object): Record<string, unknown> {
  const result: Record<string, unknown> = { ...under }
  for (const [field, words] of Object.entries(over))
    result[field] = { ...(result[field] as object | undefined), ...(words as object) }
  return result
}
