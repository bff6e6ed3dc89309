/** What may stand in a mark after its name, as a pattern. */
export const ATTRIBUTES = `(?:[^<>"']|"[^"]{0,1000}"|'[^']{0,1000}'){0,1000}`
const ANY_MARK = new RegExp(`</?[a-z]${ATTRIBUTES}>`, 'gi')
const BREAK = new RegExp(` *<(?:br|/p|/div|/li)\\b${ATTRIBUTES}> *`, 'gi')

/** The references of HTML that stand in tables of words and numbers; any other stays as it was written. */
const NAMED: Readonly<Record<string, string>> = {
  amp: '&',
  lt: '<',
  gt: '>',
  quot: '"',
  apos: "'",
  nbsp: '\u00a0',
  ndash: '–',
  mdash: '—',
  lsquo: '‘',
  rsquo: '’',
  ldquo: '“',
  rdquo: '”',
  hellip: '…',
  bull: '•',
  deg: '°',
  euro: '€',
  frac12: '½',
  frac14: '¼',
  frac34: '¾',
  auml: 'ä',
  ouml: 'ö',
  uuml: 'ü',
  Auml: 'Ä',
  Ouml: 'Ö',
  Uuml: 'Ü',
  szlig: 'ß',
  eacute: 'é',
  egrave: 'è',
  ecirc: 'ê',
  agrave: 'à',
  ccedil: 'ç',
  ntilde: 'ñ',
}

/** The text that a reader of a page sees: marks left out, room between words as one space, a line break where the page has one. */
export const htmlText = (source: string): string =>
  source
    .replace(/<!--[\s\S]*?(?:-->|$)|<(script|style)\b[\s\S]*?(?:<\/\1\s*>|$)/gi, '')
    .replace(/[ \t\r\n\f]+/g, ' ')
    .replace(BREAK, '\n')
    .replace(ANY_MARK, '')
    .replace(/&(?:#(\d{1,7})|#x([0-9a-f]{1,6})|(\w+));/gi, (whole, decimal, hex, name) =>
      name === undefined ? character(whole, decimal, hex) : (NAMED[name] ?? whole),
    )
    .replace(/^[ \n]+|[ \n]+$/g, '')

function character(whole: string, decimal: string | undefined, hex: string | undefined): string {
  const code = decimal === undefined ? Number.parseInt(hex as string, 16) : Number(decimal)
  return code > 0 && code <= 0x10ffff && !(code >= 0xd800 && code <= 0xdfff)
    ? String.fromCodePoint(code)
    : whole
}
