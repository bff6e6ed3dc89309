import type { Block } from '../blocks.ts'
import { escapeHtml } from './escape.ts'
import { packedBlock } from './live/pack.ts'
import type { Numbering } from './numbering.ts'

/** The filter bar, which shows itself where scripts run. */
export function filtersHtml({ dimensions }: Extract<Block, { kind: 'filters' }>): string {
  if (dimensions.length === 0) return ''
  const fields = dimensions
    .map(({ name, values }, i) => {
      const id = `filter-${i + 1}`
      const options = values.map((v) => `<option value="${escapeHtml(v)}">${escapeHtml(v)}</option>`).join('')
      return `<span><label for="${id}">${escapeHtml(name)}</label><select id="${id}" data-name="${escapeHtml(name)}"><option value="">All</option>${options}</select></span>`
    })
    .join('')
  const names = dimensions.map((d) => d.name.toLowerCase())
  const last = names.pop()!
  return `<details class="filters"><summary>Narrow the page by ${escapeHtml(names.length ? `${names.join(', ')} or ${last}` : last)}</summary><div class="fields">${fields}</div></details>`
}

/** What the filters need to know: the numbers of all facets, and the parts that were worked out. */
export function filterBlocks({ facets, variants }: Numbering): string {
  if (facets.size === 0 && variants.length === 0) return ''
  return `${packedBlock('facets', `[${[...facets.keys()].join(',')}]`)}\n${packedBlock('variants', JSON.stringify(variants))}\n`
}
