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
    .replace(/^(\s*)([-+])(?=[\s+-]|$)/, '$1\\$2')
    .replace(/^(\s*\d+)([.)])(?=\s|$)/, '$1\\$2')

const lexer = new Marked({ gfm: true })

/** Links that a page of ours follows: places on it, the web, mail. */
const SAFE_LINK = /^(#|https?:|mailto:)/i

/** What a piece of prose becomes where it must not stand as it is; null where it may. */
function replacement(token: Token): string | null {
  switch (token.type) {
    case 'html':
      return token.raw.replace(/</g, '&lt;')
    case 'image':
      return markdownText(token.text)
    case 'link':
      return SAFE_LINK.test(token.href) ? null : markdownText(token.text)
    // A definition would turn words elsewhere on the page into links or pictures.
    case 'def':
      return markdownText(token.raw)
    default:
      return null
  }
}

const isPlain = (prose: string): boolean => {
  let plain = true
  lexer.walkTokens(lexer.lexer(prose), (token: Token) => {
    if (replacement(token) !== null) plain = false
  })
  return plain
}

/**
 * Prose as it was written, but raw HTML in it comes out as the text it is, pictures and links to anywhere but the web as
 * their words: nothing is fetched or run, as on the HTML page. Prose that cannot be mended piece by piece comes out letter
 * for letter.
 */
export function plainMarkdown(prose: string): string {
  let out = ''
  let from = 0
  lexer.walkTokens(lexer.lexer(prose), (token: Token) => {
    const instead = replacement(token)
    const skipped = token.type === 'code' || token.type === 'codespan'
    const at = instead !== null || skipped ? prose.indexOf(token.raw, from) : -1
    if (at < 0) return
    out += prose.slice(from, at) + (instead ?? token.raw)
    from = at + token.raw.length
  })
  const mended = out + prose.slice(from)
  return isPlain(mended)
    ? mended
    : prose
        .split(/\r\n?|\n/)
        .map(markdownText)
        .join('\n')
}
