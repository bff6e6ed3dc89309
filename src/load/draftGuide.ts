import { suggestGuide } from './guide/suggest.ts'
import { type LoadOptions, readRawTables } from './loadFolder.ts'

/**
 * Drafts a reading guide for a folder of exports: see {@link suggestGuide}.
 *
 * @param options.guide what is known already, such as the row of headings; `{}` for nothing
 * @returns YAML, itself a guide that can be used
 * @throws UserError for a missing folder or a file that cannot be read
 */
export async function draftGuide(folder: string, options: Pick<LoadOptions, 'guide'> = {}): Promise<string> {
  const { tables } = await readRawTables(folder, options)
  return suggestGuide(tables)
}
