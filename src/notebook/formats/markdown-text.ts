import { Marked, type Token } from 'marked'

/** Text that came from data as Markdown that shows it letter for letter: no emphasis, link, table bar or tag in it. */
export const markdownText = (text: string): string =>
  text
    .replace(/[\\`*_{}[\]#|~$]/g, '\\$&')
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/>/g, '&gt;')
    // Bare addresses would become links (GitHub Flavored Markdown, section 6.9).
    .replace(/:\/\//g, '&#58;//')
    .replace(/@/g, '&#64;')
    .replace(/\bwww\./gi, (www) => `${www.slice(0, 3)}&#46;`)
    .replace(/\s*[\r\n]+\s*/g, ' ')
    .replace(/^(\s*)([-+])/, '$1\\$2')
    .replace(/^(\s*\d+)([.)])/, '$1\\$2')

const lexer = new Marked({ gfm: true })

/**
 * Prose as it was written, but raw HTML in it comes out as the text it is, and pictures as their words: nothing is
 * fetched, as on the HTML page.
 */
export function plainMarkdown(prose: string): string {
  const tokens = lexer.lexer(prose)
  let out = ''
  let from = 0
  lexer.walkTokens(tokens, (token: Token) => {
    const leaf =
      token.type === 'html' || token.type === 'image' || token.type === 'code' || token.type === 'codespan'
    const at = leaf ? prose.indexOf(token.raw, from) : -1
    if (at < 0) return
    const plain =
      token.type === 'html'
        ? token.raw.replace(/</g, '&lt;')
        : token.type === 'image'
          ? markdownText(token.text)
          : token.raw
    out += prose.slice(from, at) + plain
    from = at + token.raw.length
  })
  return out + prose.slice(from)
}
