import { parse } from 'yaml'
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

function fault(file: string, key: string, found: string): UserError {
  const allowed = ALLOWED[key.split('.')[0]!] ?? `the keys ${Object.keys(ALLOWED).join(', ')}`
  return new UserError(`${file}, ${key || 'top'}: ${found}. Allowed: ${allowed}.`)
}

/** @throws UserError where a list of age bands draws a line that the finer list before it does not */
function checkBands(file: string, bands: readonly (readonly number[])[]): void {
  bands.slice(1).forEach((bounds, i) => {
    const stray = bounds.find((bound) => !bands[i]!.includes(bound))
    if (stray !== undefined)
      throw fault(
        file,
        `age_bands.${i + 1}`,
        `found ${stray}, which is not in the list before it: a coarser list may only merge bands`,
      )
  })
}

/** @throws UserError where one of the clinic's words stands under two released words */
function checkWords(file: string, key: string, merged: Readonly<Record<string, readonly string[]>>): void {
  const seen = new Map<string, string>()
  for (const [word, members] of Object.entries(merged))
    for (const member of members) {
      const before = seen.get(member)
      if (before !== undefined)
        throw fault(file, `${key}.${word}`, `found "${member}" twice, it already stands under "${before}"`)
      seen.set(member, word)
    }
}

/**
 * What a clinic says of its own age bands, groups and sites, in YAML. Words are taken as typed: `no` and `01` stay words.
 * @throws UserError with file, key, what was found and what is allowed
 */
export function parseHierarchies(text: string, file: string): HierarchySettings {
  let value: unknown
  try {
    value = parse(text, { schema: 'failsafe' }) || {}
  } catch (cause) {
    throw new UserError(`${file} is no YAML: ${cause instanceof Error ? cause.message : String(cause)}`, {
      cause,
    })
  }
  const result = shape.safeParse(value)
  if (!result.success) {
    const issue = result.error.issues[0]!
    if (issue.code === 'unrecognized_keys') throw fault(file, '', `found the key "${issue.keys[0]}"`)
    throw fault(file, issue.path.join('.'), `found ${JSON.stringify(at(value, issue.path)) ?? 'nothing'}`)
  }
  const { age_bands, groups, sites } = result.data
  checkBands(file, age_bands ?? [])
  checkWords(file, 'groups', groups ?? {})
  checkWords(file, 'sites', sites ?? {})
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
