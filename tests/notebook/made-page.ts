import type { Block } from '../../src/notebook/blocks.ts'
import type { Page, Provenance } from '../../src/notebook/page.ts'

/** Where a page that no notebook made says it comes from. */
export const PROVENANCE: Provenance = {
  notebook: 'n.ts',
  notebookSha256: 'ab'.repeat(32),
  parameters: [],
  inputs: [{ file: 'heron/a.csv', sha256: 'cd'.repeat(32), bytes: 10, records: 2 }],
  versions: { waneline: '0' },
}

/** A page of one cell with these blocks, as a run would have collected them. */
export const madePage = (title: string, blocks: readonly Block[], code = ''): Page => ({
  title,
  cells: [{ title: '', code, blocks }],
  provenance: PROVENANCE,
})
