import type { Block } from '../blocks.ts'
import { markdownText } from './markdown-text.ts'

/** A block that holds no others. */
export type Leaf = Exclude<
  Block,
  { kind: 'grid' } | { kind: 'folded' } | { kind: 'choice' } | { kind: 'filters' } | { kind: 'variants' }
>

export interface LeafOptions {
  /** Of a choice, every option under its name, or the first one only. Every one by default. */
  readonly choices?: 'all' | 'first'
  /** Whether what stands folded on the page is among them. True by default. */
  readonly folds?: boolean
}

/** The blocks of a page one after another, for forms that have neither columns nor folds nor switches. */
export function* leaves(blocks: Iterable<Block>, options: LeafOptions = {}): Generator<Leaf> {
  for (const block of blocks) {
    if (block.kind === 'filters') continue
    if (block.kind === 'grid' || block.kind === 'variants') yield* leaves(block.blocks, options)
    else if (block.kind === 'folded') {
      if (options.folds === false) continue
      yield { kind: 'markdown', text: `**${block.title}**` }
      yield* leaves(block.blocks, options)
    } else if (block.kind === 'choice') {
      const { name } = block
      for (const { label, blocks: inner } of options.choices === 'first'
        ? block.options.slice(0, 1)
        : block.options) {
        yield { kind: 'markdown', text: `**${markdownText(`${name}: ${label}`)}**` }
        yield* leaves(inner, options)
      }
    } else yield block
  }
}
