const START_OF_OTHERS: readonly (readonly [string, string])[] = [
  ['\xd0\xcf\x11\xe0', 'an old or locked workbook or document (save it as .xlsx, without a password)'],
  ['%PDF', 'a PDF document (export the table as CSV or .xlsx)'],
  ['\x89PNG', 'a picture'],
  ['\xff\xd8\xff', 'a picture'],
  ['GIF8', 'a picture'],
  ['{\\rtf', 'a formatted document (save its table as .xlsx or CSV)'],
  ['<?xml', 'XML (open it in a spreadsheet and save it as .xlsx, or export CSV)'],
  ['SQLite format 3', 'a database (export its tables as CSV)'],
]

/** What a file is that is not read, in words; null for all others. */
export function otherKind(head: Uint8Array): string | null {
  const start = Buffer.from(head.subarray(0, 20))
    .toString('latin1')
    .replace(/^\xef\xbb\xbf/, '')
  return START_OF_OTHERS.find(([magic]) => start.startsWith(magic))?.[1] ?? null
}

/** A web page, which many systems call a workbook: by its first mark, whatever its name. */
export const isPage = (head: Uint8Array): boolean =>
  /^\ufeff?\s*(?:<!--[\s\S]*?-->\s*)?<(?:!doctype html|html|head|body|meta|table|div|style)\b/i.test(
    headText(head),
  ) || /^\ufeff?\s*<\?xml[^>]*\?>\s*<(?:!doctype html|html)\b/i.test(headText(head))

/** JSON by its name, or by how it starts where the name says nothing of the kind. */
export function jsonForm(file: string, head: Uint8Array): 'json' | 'ndjson' | null {
  const name = file.replace(/\.gz$/i, '')
  if (/\.(ndjson|jsonl)$/i.test(name)) return 'ndjson'
  const text = headText(head).trimStart()
  const looksLike = text.startsWith('{') || /^\[\s*[[{\]]/.test(text)
  if (!/\.json$/i.test(name) && (!looksLike || /\.(csv|tsv|txt|tab|psv)$/i.test(name))) return null
  return isObjectAlone(text) ? 'ndjson' : 'json'
}

/** Whether the first line is an object by itself and another follows. */
function isObjectAlone(text: string): boolean {
  const end = text.indexOf('\n')
  if (end < 0 || !text.slice(end).trimStart().startsWith('{')) return false
  try {
    return typeof JSON.parse(text.slice(0, end)) === 'object'
  } catch {
    return false
  }
}

function headText(head: Uint8Array): string {
  const form =
    head[0] === 0xff && head[1] === 0xfe
      ? 'utf-16le'
      : head[0] === 0xfe && head[1] === 0xff
        ? 'utf-16be'
        : 'utf-8'
  return new TextDecoder(form).decode(head)
}
