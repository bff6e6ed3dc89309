import { Marked, type Token, type Tokens } from 'marked'

/** A run of text with its weight, as slides take it. */
export interface Run {
  readonly text: string
  readonly bold?: boolean
  readonly italic?: boolean
}

/** A heading, a paragraph or a list item. */
export interface Paragraph {
  readonly kind: 'heading' | 'text' | 'item'
  readonly depth: number
  readonly runs: readonly Run[]
}

/** Letters that XML 1.0 cannot hold (section 2.2), and halves of letters. */
const NOT_XML =
  /[\u0000-\u0008\u000B\u000C\u000E-\u001F\uFFFE\uFFFF]|[\uD800-\uDBFF](?![\uDC00-\uDFFF])|(?<![\uD800-\uDBFF])[\uDC00-\uDFFF]/g

/** Text that a slide can hold: what XML cannot carry becomes the replacement character. */
export const slideText = (text: string): string => text.replace(NOT_XML, '\uFFFD')

const lexer = new Marked({ gfm: true })
const ENTITIES: Readonly<Record<string, string>> = { amp: '&', lt: '<', gt: '>', quot: '"', '#39': "'" }
const unescaped = (text: string): string =>
  text.replace(/&(amp|lt|gt|quot|#39);/g, (_, name: string) => ENTITIES[name]!)

function runsOf(tokens: readonly Token[] | undefined, style: Omit<Run, 'text'> = {}): Run[] {
  return (tokens ?? []).flatMap((token): Run[] => {
    if (token.type === 'strong') return runsOf(token.tokens, { ...style, bold: true })
    if (token.type === 'em') return runsOf(token.tokens, { ...style, italic: true })
    if (token.type === 'br') return [{ text: ' ', ...style }]
    if (token.type !== 'image' && 'tokens' in token && token.tokens) return runsOf(token.tokens, style)
    const text = 'text' in token ? String(token.text) : token.raw
    return [{ text: slideText(unescaped(text).replace(/\s+/g, ' ')), ...style }]
  })
}

function* paragraphsOf(tokens: readonly Token[], depth: number): Generator<Paragraph> {
  for (const token of tokens)
    if (token.type === 'heading') yield { kind: 'heading', depth: token.depth, runs: runsOf(token.tokens) }
    else if (token.type === 'list')
      for (const item of (token as Tokens.List).items) {
        const own = item.tokens.filter((t) => t.type !== 'list')
        yield { kind: 'item', depth, runs: runsOf(own) }
        yield* paragraphsOf(
          item.tokens.filter((t) => t.type === 'list'),
          depth + 1,
        )
      }
    else if (token.type === 'blockquote') yield* paragraphsOf(token.tokens ?? [], depth)
    else if (token.type === 'table') {
      const { header, rows } = token as Tokens.Table
      for (const row of [header, ...rows])
        yield {
          kind: 'item',
          depth,
          runs: row.flatMap((c, i) => [...(i ? [{ text: ' · ' }] : []), ...runsOf(c.tokens)]),
        }
    } else if (token.type !== 'space' && token.type !== 'hr' && token.type !== 'def')
      yield {
        kind: 'text',
        depth,
        runs: 'tokens' in token && token.tokens ? runsOf(token.tokens) : runsOf([token]),
      }
}

/** Markdown as paragraphs of runs. Raw HTML comes out as the text it is. */
export const slideParagraphs = (markdown: string): Paragraph[] => [...paragraphsOf(lexer.lexer(markdown), 0)]
