import { suggestGuide } from './guide/suggest.ts'
import { type LoadOptions, readRawTables } from './loadFolder.ts'

/**
 * Drafts a reading guide for a folder of exports: see {@link suggestGuide}. What a guide says already is not asked again.
 *
 * @param options.guide the guide there is, or its path. Default: `guide.yaml` in the folder, if there is one; `{}` for none
 * @returns YAML, itself a guide that can be used
 * @throws UserError for a missing folder or a file that cannot be read
 */
export async function draftGuide(folder: string, options: Pick<LoadOptions, 'guide'> = {}): Promise<string> {
  const { tables, context } = await readRawTables(folder, options)
  return suggestGuide(tables, context.rulesFor)
}
