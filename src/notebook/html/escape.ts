const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
}

/** Text as HTML text or attribute value. Everything that comes from data passes through here. */
export const escapeHtml = (text: string): string => text.replace(/[&<>"']/g, (c) => ENTITIES[c]!)

/** HTML in which no line parts a number from its per cent or plus-minus sign. */
export const unbroken = (html: string): string =>
  html.replace(/(\d) %/g, '$1\u00a0%').replace(/± (\d)/g, '±\u00a0$1')

/** An anchor from words. */
export const slug = (text: string): string =>
  text
    .toLowerCase()
    .normalize('NFKD')
    .replace(/[^\p{L}\p{N}]+/gu, '-')
    .replace(/^-|-$/g, '') || 'part'
