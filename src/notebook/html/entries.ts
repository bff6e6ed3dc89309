import type { Block, Entry, EntryGroup } from '../blocks.ts'
import { escapeHtml, slug, unbroken } from './escape.ts'
import { facetNumbers, followsAttribute, type Numbering } from './numbering.ts'

/** A name, as a link where it leads to a place on the page. */
export const linked = (text: string, href: string | undefined): string =>
  href?.startsWith('#') ? `<a href="${escapeHtml(href)}">${escapeHtml(text)}</a>` : escapeHtml(text)

function entryHtml(e: Entry, numbers: Numbering): string {
  const lines = e.lines?.length
    ? `<ul>${e.lines.map((l) => `<li>${unbroken(escapeHtml(l))}</li>`).join('')}</ul>`
    : ''
  const flag = e.flag ? `<span class="flag">${escapeHtml(e.flag)}</span>` : ''
  const under = e.under ? `<span class="under">${escapeHtml(e.under)}</span>` : ''
  const facets = e.facets ? ` data-f="${facetNumbers(numbers, e.facets).join(' ')}"` : ''
  return `<li class="${e.tone ?? 'plain'}"${e.id ? ` id="${escapeHtml(e.id)}"` : ''}${facets}><div class="who">${linked(e.title, e.href)}${under}</div><div class="why">${flag}${unbroken(escapeHtml(e.lead))}${lines}</div></li>`
}

function listHtml(items: readonly Entry[], shown: number, numbers: Numbering): string {
  const list = (some: readonly Entry[]): string =>
    `<ol class="entries">${some.map((e) => entryHtml(e, numbers)).join('\n')}</ol>`
  const rest = items.slice(shown)
  const open = items.slice(0, shown)
  return `${open.length ? list(open) : ''}${rest.length ? `<details class="print"><summary>${open.length ? `${rest.length} more` : `Show ${rest.length}`}</summary>${list(rest)}</details>` : ''}`
}

interface Gathered extends EntryGroup {
  readonly id: string
  readonly items: readonly Entry[]
}

/** Entries by flag in the order of the groups; a flag that no group names comes last, under its own name. */
function gathered(items: readonly Entry[], groups: readonly EntryGroup[], shown: number): Gathered[] {
  const named = new Set(groups.map((g) => g.flag))
  const others = [...new Set(items.map((e) => e.flag ?? ''))].filter((flag) => !named.has(flag))
  return [...groups, ...others.map((flag) => ({ flag, note: '', shown }))]
    .map((g) => ({
      ...g,
      id: `reason-${slug(g.flag)}`,
      items: items.filter((e) => (e.flag ?? '') === g.flag),
    }))
    .filter((g) => g.items.length > 0)
    .map((g, i, all) => (all.slice(0, i).some((o) => o.id === g.id) ? { ...g, id: `${g.id}-${i}` } : g))
}

function groupHtml(g: Gathered, numbers: Numbering): string {
  const bare = g.items.map(({ flag: _, ...e }) => e)
  return `<section class="group"><h3 id="${escapeHtml(g.id)}">${escapeHtml(g.flag || 'Others')} <span class="count">${g.items.length}</span></h3>${g.note ? `<p class="note">${escapeHtml(g.note)}</p>` : ''}${listHtml(bare, g.shown, numbers)}</section>`
}

export function entriesHtml(block: Extract<Block, { kind: 'entries' }>, numbers: Numbering): string {
  const { items, shown, caption, groups } = block
  const title = caption ? `<h3>${escapeHtml(caption)}</h3>` : ''
  if (items.length === 0) return `${title}<p>Nobody.</p>`
  const follows = followsAttribute(items.map((e) => e.facets))
  if (!groups) return `<div class="entriesbox"${follows}>${title}${listHtml(items, shown, numbers)}</div>`
  const all = gathered(items, groups, shown)
  const links = all
    .map(
      (g) =>
        `<li><a href="#${escapeHtml(g.id)}">${escapeHtml(g.flag || 'Others')} <b>${g.items.length}</b></a></li>`,
    )
    .join('')
  return `<div class="entriesbox" data-search${follows}>${title}<ul class="reasons">${links}</ul>${all.map((g) => groupHtml(g, numbers)).join('\n')}</div>`
}
