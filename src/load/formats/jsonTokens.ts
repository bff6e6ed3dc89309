import { MAX_JSON_DEPTH } from './limits.ts'

/** Where a string of a JSON text begins, and the place after its closing quote. Patterns run out of room on long strings. */
function* stringsOf(text: string): Generator<readonly [number, number]> {
  for (let start = text.indexOf('"'); start >= 0; ) {
    let end = text.indexOf('"', start + 1)
    while (end >= 0 && isEscaped(text, end)) end = text.indexOf('"', end + 1)
    if (end < 0) return
    yield [start, end + 1]
    start = text.indexOf('"', end + 1)
  }
}

function isEscaped(text: string, at: number): boolean {
  let slashes = 0
  while (text.charCodeAt(at - 1 - slashes) === 0x5c) slashes++
  return slashes % 2 === 1
}

/** How many keys JSON text writes, each as often as it is written. */
export function countWrittenKeys(text: string): number {
  let keys = 0
  for (const [, end] of stringsOf(text)) {
    let at = end
    while (/\s/.test(text.charAt(at))) at++
    if (text.charCodeAt(at) === 0x3a) keys++
  }
  return keys
}

/** JSON text with every number in quotes, so that parsing it keeps its digits. */
export function withQuotedNumbers(text: string): string {
  const quote = (gap: string): string => gap.replace(/-?\d[\d.eE+-]*/g, '"$&"')
  const pieces: string[] = []
  let done = 0
  for (const [start, end] of stringsOf(text)) {
    pieces.push(quote(text.slice(done, start)), text.slice(start, end))
    done = end
  }
  pieces.push(quote(text.slice(done)))
  return pieces.join('')
}

/** Whether objects and lists are nested deeper than is read; looked at before parsing, which takes long over them. */
export function isTooDeep(text: string): boolean {
  let depth = 0
  let done = 0
  const passes = (gap: string): boolean => {
    for (let i = 0; i < gap.length; i++) {
      const code = gap.charCodeAt(i)
      if (code === 0x7b || code === 0x5b) {
        if (++depth > MAX_JSON_DEPTH + 1) return true
      } else if (code === 0x7d || code === 0x5d) depth--
    }
    return false
  }
  for (const [start, end] of stringsOf(text)) {
    if (passes(text.slice(done, start))) return true
    done = end
  }
  return passes(text.slice(done))
}
