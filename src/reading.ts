import { z } from 'zod'
import { type Loaded, type LoadOptions, loadFolder as load } from './load/index.ts'
import { recordInput } from './notebook/index.ts'
import { type Day, parseDay } from './records/index.ts'

/**
 * Reads a folder of exports into the five tables ({@link load}), and names its files in the provenance of the page that a
 * running notebook makes.
 *
 * @throws UserError for a folder or file that cannot be read, headings that nobody could recognise, a missing as-of day
 */
export async function loadFolder(folder: string, options: LoadOptions = {}): Promise<Loaded> {
  const loaded = await load(folder, options)
  for (const source of loaded.sources) recordInput(source)
  return loaded
}

/** A parameter that is a date, `YYYY-MM-DD`; its value is a {@link Day}. */
export const dayParameter = (description: string) =>
  z
    .string()
    .refine((text) => parseDay(text) !== null, 'a date is written YYYY-MM-DD')
    .transform((text): Day => parseDay(text) as Day)
    .describe(description)

/** The parameters that every notebook on a folder of exports has. */
export const folderParameters = {
  data: z.string().describe('folder of raw exports'),
  asOf: dayParameter('the day for which everything is reckoned')
    .optional()
    .describe('as-of day, YYYY-MM-DD: the day for which everything is reckoned'),
  guide: z.string().optional().describe('reading guide; guide.yaml in the folder where there is one'),
}
