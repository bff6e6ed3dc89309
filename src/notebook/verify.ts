import { z } from 'zod'
import { UserError } from '../errors.ts'
import type { InputFile } from './collector.ts'
import { pageHtml } from './html/page.ts'
import type { Page, Provenance } from './page.ts'
import { sha256, versions } from './run.ts'

const provenanceSchema = z.object({
  notebook: z.string(),
  notebookSha256: z.string(),
  parameters: z.array(
    z.object({
      name: z.string(),
      type: z.string(),
      description: z.string(),
      default: z.string().nullable(),
      required: z.boolean(),
      value: z.string(),
    }),
  ),
  inputs: z.array(
    z.object({ file: z.string(), sha256: z.string(), bytes: z.number(), records: z.number().nullable() }),
  ),
  versions: z.record(z.string(), z.string()),
})

/**
 * What a page says it was made from.
 * @throws UserError where the file is no page of ours
 */
export function provenanceOf(html: string, path: string): Provenance {
  const text = /<script type="application\/json" id="provenance">([\s\S]*?)<\/script>/.exec(html)?.[1]
  try {
    return provenanceSchema.parse(JSON.parse(text ?? ''))
  } catch (cause) {
    throw new UserError(
      `${path} does not say what it was made from, so it cannot be verified. Give an HTML page that waneline run wrote.`,
      { exitCode: 2, cause },
    )
  }
}

function sizeWords(was: InputFile, is: InputFile): string {
  const bytes = was.bytes === is.bytes ? `${was.bytes} bytes, as now` : `${was.bytes} bytes, now ${is.bytes}`
  if (was.records === null && is.records === null) return bytes
  return was.records === is.records
    ? `${bytes}, and ${was.records} records, as now`
    : `${bytes}, and ${was.records ?? 'no'} records, now ${is.records ?? 'none'}`
}

function inputChanges(then: readonly InputFile[], now: readonly InputFile[]): string[] {
  const before = new Map(then.map((i) => [i.file, i]))
  const after = new Map(now.map((i) => [i.file, i]))
  return [
    ...then
      .filter((i) => !after.has(i.file))
      .map((i) => `The input file ${i.file} (${i.bytes} bytes) is not there any more.`),
    ...now.filter((i) => !before.has(i.file)).map((i) => `The input file ${i.file} is new.`),
    ...now.flatMap((i) => {
      const was = before.get(i.file)
      if (!was || was.sha256 === i.sha256) return []
      return [`The input file ${i.file} has changed: it had ${sizeWords(was, i)}.`]
    }),
  ]
}

function versionChanges(then: Provenance['versions'], now: Provenance['versions']): string[] {
  const names = new Set([...Object.keys(then), ...Object.keys(now)])
  return [...names]
    .filter((name) => then[name] !== now[name])
    .map((name) => `${name} was ${then[name] ?? 'absent'} and is ${now[name] ?? 'absent'}.`)
}

function parameterChanges(then: Provenance['parameters'], now: Provenance['parameters']): string[] {
  const before = new Map(then.map((p) => [p.name, p.value]))
  const after = new Map(now.map((p) => [p.name, p.value]))
  return [
    ...then
      .filter((p) => after.get(p.name) !== p.value)
      .map((p) => {
        const is = after.get(p.name)
        return `The parameter ${p.name} was "${p.value}" and is ${is === undefined ? 'not there any more' : `"${is}"`}.`
      }),
    ...now
      .filter((p) => !before.has(p.name))
      .map((p) => `The parameter ${p.name} is new; it is "${p.value}".`),
  ]
}

/** What is known to have changed before the notebook is run again: its source, and the versions. */
export const knownChanges = (then: Provenance, source: string): string[] => [
  ...(then.notebookSha256 === sha256(source) ? [] : [`The notebook ${then.notebook} has changed since.`]),
  ...versionChanges(then.versions, versions()),
]

/** What differs between what a page was made from and what it would be made from now, in sentences. */
const provenanceChanges = (then: Provenance, now: Provenance): string[] => [
  ...(then.notebookSha256 === now.notebookSha256 ? [] : [`The notebook ${then.notebook} has changed since.`]),
  ...parameterChanges(then.parameters, now.parameters),
  ...inputChanges(then.inputs, now.inputs),
  ...versionChanges(then.versions, now.versions),
]

/** The first line in which two texts differ, cut to a length that can be read. */
function firstDifference(then: string, now: string): string {
  const a = then.split('\n')
  const b = now.split('\n')
  const line = a.findIndex((text, i) => text !== b[i])
  const at = line < 0 ? a.length : line
  const from = [...(a[at] ?? '')].findIndex((letter, i) => letter !== (b[at] ?? '')[i])
  const cut = (text: string | undefined): string =>
    text === undefined
      ? '(nothing)'
      : JSON.stringify(text.slice(Math.max(0, from - 20), Math.max(0, from) + 60))
  return `First difference, line ${at + 1}: the page has ${cut(a[at])}, the rerun ${cut(b[at])}.`
}

export interface Verdict {
  readonly reproduced: boolean
  /** What changed, in sentences; empty where the page was reproduced. */
  readonly changes: readonly string[]
}

/** Whether a page is, byte for byte, what its rerun gives; and what changed if not. */
export async function verdictOf(html: string, path: string, rerun: Page): Promise<Verdict> {
  const live = html.includes('id="runtime"')
  const forms = [await pageHtml(rerun, { code: true, live }), await pageHtml(rerun, { code: false, live })]
  if (forms.includes(html)) return { reproduced: true, changes: [] }
  const changes = provenanceChanges(provenanceOf(html, path), rerun.provenance)
  if (changes.length > 0) return { reproduced: false, changes }
  return {
    reproduced: false,
    changes: [
      'Notebook, inputs, parameters and versions are the same, yet the page is not: it was edited by hand, or the notebook uses the clock, chance without a seed, or something it does not name as an input.',
      firstDifference(html, forms[html.includes("<summary>The notebook's code") ? 0 : 1] as string),
    ],
  }
}
