import { Marked, type Tokens } from 'marked'
import { escapeHtml, slug, unbroken } from './escape.ts'

const SAFE_LINK = /^(#|https?:|mailto:)/i

const renderer = new Marked({
  gfm: true,
  renderer: {
    // Raw HTML in prose or in a clinic's text is text.
    html: ({ text }: Tokens.HTML | Tokens.Tag) => escapeHtml(text),
    image: ({ text }: Tokens.Image) => escapeHtml(text),
    link({ href, tokens }: Tokens.Link) {
      const inner = this.parser.parseInline(tokens)
      return SAFE_LINK.test(href) ? `<a href="${escapeHtml(href)}" rel="noreferrer">${inner}</a>` : inner
    },
    paragraph({ tokens }: Tokens.Paragraph) {
      const inner = this.parser.parseInline(tokens)
      // Code stays letter for letter.
      return `<p>${inner.includes('<code') ? inner : unbroken(inner)}</p>\n`
    },
    heading({ tokens, depth }: Tokens.Heading) {
      const inner = this.parser.parseInline(tokens)
      const id = slug(inner.replace(/<[^>]*>/g, ''))
      return `<h${depth} id="${escapeHtml(id)}">${inner}</h${depth}>\n`
    },
  },
})

/** Markdown as HTML; raw HTML in it comes out as the text it is, pictures as their words. */
export const markdownHtml = (text: string): string => renderer.parse(text, { async: false })

/** One line of Markdown without a paragraph around it. */
export const inlineHtml = (text: string): string => renderer.parseInline(text, { async: false })
