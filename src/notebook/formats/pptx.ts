import { strFromU8, strToU8, unzipSync, type Zippable, zipSync } from 'fflate'
import pptxgen from 'pptxgenjs'
import type { Page } from '../page.ts'
import { Deck } from './pptx-deck.ts'

/** The library writes the moment of writing into the file; a page's bytes depend on what it was made from alone. */
const FIXED_TIME = '2000-01-01T00:00:00Z'
const FIXED_ZIP_TIME = new Date(2000, 0, 1)

function withoutTime(bytes: Uint8Array): Uint8Array {
  const entries = unzipSync(bytes)
  const files: Zippable = {}
  for (const name of Object.keys(entries).sort()) {
    const content = entries[name]!
    const timed = name === 'docProps/core.xml'
    files[name] = timed
      ? strToU8(strFromU8(content).replace(/(<dcterms:(?:created|modified)[^>]*>)[^<]*/g, `$1${FIXED_TIME}`))
      : content
  }
  return zipSync(files, { mtime: FIXED_ZIP_TIME })
}

/**
 * A page as editable slides: native text and tables, charts as sharp pictures with their words beside them. What
 * stands folded on the page stays there; of a choice, the first option. Long tables are cut after some slides, and say so.
 */
export async function slidesFile(page: Page): Promise<Uint8Array> {
  // The type declarations describe the CommonJS build; under Node's ESM the class is the default export itself.
  const Presentation = pptxgen as unknown as new () => pptxgen.default
  const presentation = new Presentation()
  const deck = new Deck(presentation, page.title)
  for (const { blocks } of page.cells) await deck.add(blocks)
  deck.provenance(page.provenance)
  const bytes = await presentation.write({ outputType: 'uint8array' })
  return withoutTime(bytes as Uint8Array)
}
