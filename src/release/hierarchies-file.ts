import { type Document, isMap, isNode, isPair, isScalar, LineCounter, parseDocument } from 'yaml'
import { z } from 'zod'
import { UserError } from '../errors.ts'
import type { HierarchySettings } from './hierarchy.ts'

const OLDEST_BOUND = 90

const words = z.record(z.string(), z.array(z.string()).min(1)).optional()
const shape = z.strictObject({
  age_bands: z
    .array(
      z
        .array(
          z
            .string()
            .refine((s) => /^\d+$/.test(s) && Number(s) <= OLDEST_BOUND)
            .transform(Number),
        )
        .min(1),
    )
    .min(1)
    .optional(),
  groups: words,
  sites: words,
})

const ALLOWED: Record<string, string> = {
  age_bands: `lists of lower bounds in whole years, 0 to ${OLDEST_BOUND}, the finest list first: [[0, 3, 6, 18], [0, 18]]`,
  groups: 'released word: list of the groups that become it, such as {young: [early years, school age]}',
  sites: 'released word: list of the sites that become it, such as {coast: [Heron, Plover]}',
}

const at = (value: unknown, path: readonly PropertyKey[]): unknown =>
  path.reduce<unknown>(
    (part, key) => (typeof part === 'object' && part !== null ? part[key as keyof typeof part] : undefined),
    value,
  )

/** A file that was read as YAML, with what it takes to say where something stands in it. */
interface Source {
  readonly file: string
  readonly document: Document
  readonly lines: LineCounter
}

/** Line, from 1, of the deepest part of this path that the file has; of the key, where the path names one. */
function lineOf({ document, lines }: Source, path: readonly string[]): number {
  for (let depth = path.length; depth > 0; depth--) {
    const parent = depth === 1 ? document.contents : document.getIn(path.slice(0, depth - 1), true)
    const key = path[depth - 1]!
    const pair = isMap(parent)
      ? parent.items.find((i) => isPair(i) && isScalar(i.key) && String(i.key.value) === key)
      : undefined
    const node = pair?.key ?? document.getIn(path.slice(0, depth), true)
    if (isNode(node) && node.range) return lines.linePos(node.range[0]).line
  }
  return 1
}

function fault(source: Source, path: readonly string[], found: string): UserError {
  const allowed = ALLOWED[path[0] ?? ''] ?? `the keys ${Object.keys(ALLOWED).join(', ')}`
  // People count from one.
  const key = path.map((part) => (/^\d+$/.test(part) ? `${Number(part) + 1}` : part)).join('.')
  return new UserError(
    `${source.file}:${lineOf(source, path)}: ${key === '' ? '' : `${key}: `}${found}. Allowed: ${allowed}.`,
  )
}

/** @throws UserError where a list of age bands draws a line that the finer list before it does not */
function checkBands(source: Source, bands: readonly (readonly number[])[]): void {
  bands.slice(1).forEach((bounds, i) => {
    const stray = bounds.findIndex((bound) => !bands[i]!.includes(bound))
    if (stray >= 0)
      throw fault(
        source,
        ['age_bands', `${i + 1}`, `${stray}`],
        `found ${bounds[stray]}, which is not in the list before it: a coarser list may only merge bands`,
      )
  })
}

/** @throws UserError where one of the clinic's words stands under two released words */
function checkWords(source: Source, key: string, merged: Readonly<Record<string, readonly string[]>>): void {
  const seen = new Map<string, string>()
  for (const [word, members] of Object.entries(merged))
    members.forEach((member, i) => {
      const before = seen.get(member)
      if (before !== undefined)
        throw fault(
          source,
          [key, word, `${i}`],
          `found "${member}" twice, it already stands under "${before}"`,
        )
      seen.set(member, word)
    })
}

function sourceOf(text: string, file: string): Source {
  const lines = new LineCounter()
  const document = parseDocument(text, {
    schema: 'failsafe',
    lineCounter: lines,
    prettyErrors: false,
    logLevel: 'silent',
  })
  const wrong = document.errors[0]
  if (wrong)
    throw new UserError(
      `${file}:${lines.linePos(wrong.pos[0]).line}: this is not YAML: ${wrong.message.split('\n')[0]}`,
      { cause: wrong },
    )
  return { file, document, lines }
}

/**
 * What a clinic says of its own age bands, groups and sites, in YAML. Words are taken as typed: `no` and `01` stay words.
 * @throws UserError with file, line, key, what was found and what is allowed
 */
export function parseHierarchies(text: string, file: string): HierarchySettings {
  const source = sourceOf(text, file)
  let value: unknown
  try {
    value = source.document.toJS() || {}
  } catch (cause) {
    throw new UserError(`${file}:1: has a reference (\`*name\`) that leads nowhere, or too many of them`, {
      cause,
    })
  }
  const result = shape.safeParse(value)
  if (!result.success) {
    const issue = result.error.issues[0]!
    const path = issue.path.map(String)
    if (issue.code === 'unrecognized_keys')
      throw fault(source, [...path, issue.keys[0]!], `found the key "${issue.keys[0]}"`)
    throw fault(source, path, `found ${JSON.stringify(at(value, issue.path)) ?? 'nothing'}`)
  }
  const { age_bands, groups, sites } = result.data
  checkBands(source, age_bands ?? [])
  checkWords(source, 'groups', groups ?? {})
  checkWords(source, 'sites', sites ?? {})
  return result.data
}

/** Words of the file that no client has: most often a slip of the pen. */
export function unusedWords(
  settings: HierarchySettings,
  clients: readonly { readonly group: string | null; readonly site: string | null }[],
): string[] {
  const unused = (key: 'groups' | 'sites', used: ReadonlySet<string | null>): string[] =>
    Object.values(settings[key] ?? {})
      .flat()
      .filter((word) => !used.has(word))
      .map((word) => `${key}: no client has "${word}"`)
  return [
    ...unused('groups', new Set(clients.map((c) => c.group))),
    ...unused('sites', new Set(clients.map((c) => c.site))),
  ]
}
