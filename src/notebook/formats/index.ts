import { UserError } from '../../errors.ts'
import { pageHtml } from '../html/page.ts'
import type { Page } from '../page.ts'
import { csvFiles } from './csv.ts'
import { notebookJson } from './ipynb.ts'
import { markdownFiles } from './markdown.ts'
import { slidesFile } from './pptx.ts'

export interface FormOptions {
  /** File name without extension. */
  readonly name: string
  /** Whether the notebook's code is in it. */
  readonly code: boolean
  /** Whether the charts of an HTML page come alive; true by default. */
  readonly live?: boolean
}

/** A file of a form, by its path under the folder that the page goes to. */
export interface FormFile {
  readonly path: string
  readonly content: string | Uint8Array
}

type Form = (page: Page, options: FormOptions) => Promise<readonly FormFile[]>

/** The forms that a page can take, by the name that `--format` knows them by. */
const FORMS: Readonly<Record<string, Form>> = {
  html: async (page, { name, code, live = true }) => [
    { path: `${name}.html`, content: await pageHtml(page, { code, live }) },
  ],
  ipynb: async (page, { name, code }) => [
    { path: `${name}.ipynb`, content: await notebookJson(page, { code }) },
  ],
  md: async (page, { name, code }) => {
    const { text, pictures } = await markdownFiles(page, { folder: `${name}-pictures`, code })
    return [
      { path: `${name}.md`, content: text },
      ...pictures.map((p) => ({ path: `${name}-pictures/${p.name}`, content: p.content })),
    ]
  },
  csv: async (page, { name }) =>
    csvFiles(page).map((file) => ({ path: `${name}-tables/${file.name}`, content: file.content })),
  pptx: async (page, { name }) => [{ path: `${name}.pptx`, content: await slidesFile(page) }],
}

export const FORM_NAMES: readonly string[] = Object.keys(FORMS)

/** `html,ipynb` as names of forms, each once.
 * @throws UserError that lists the forms there are
 */
export function formNames(text: string): string[] {
  const names = [...new Set(text.split(',').map((name) => name.trim().toLowerCase()))].filter(Boolean)
  const unknown = names.find((name) => !(name in FORMS))
  if (unknown !== undefined || names.length === 0)
    throw new UserError(
      `--format cannot be "${unknown ?? text}". It takes one or more of ${FORM_NAMES.join(', ')}, such as html,ipynb.`,
      { exitCode: 2 },
    )
  return names
}

/** The files of a page in each of the forms named. */
export async function formFiles(
  page: Page,
  names: readonly string[],
  options: FormOptions,
): Promise<FormFile[]> {
  const files: FormFile[] = []
  for (const name of names) files.push(...(await FORMS[name]!(page, options)))
  return files
}
