import type { Block } from './blocks.ts'
import type { DeclaredParameter, InputFile } from './collector.ts'

/** Prose or a shown block, in the order in which they stand on the page. */
export interface PageCell {
  readonly title: string
  readonly code: string
  readonly blocks: readonly Block[]
}

/** What a page was made from. The same of everything here gives the same bytes. */
export interface Provenance {
  /** File name of the notebook and the SHA-256 of its source. */
  readonly notebook: string
  readonly notebookSha256: string
  readonly parameters: readonly (DeclaredParameter & { readonly value: string })[]
  readonly inputs: readonly InputFile[]
  readonly versions: Readonly<Record<string, string>>
}

/** A notebook that was run: what every form of output (HTML, notebook, Markdown, slides) is made from. */
export interface Page {
  readonly title: string
  readonly cells: readonly PageCell[]
  readonly provenance: Provenance
}

/** Every block of a page in order, those within grids, folds and choices included; of variants, those for everything. */
export function* allBlocks(blocks: Iterable<Block>): Generator<Block> {
  for (const block of blocks) {
    yield block
    if (block.kind === 'grid' || block.kind === 'folded' || block.kind === 'variants')
      yield* allBlocks(block.blocks)
    if (block.kind === 'choice') for (const option of block.options) yield* allBlocks(option.blocks)
  }
}
