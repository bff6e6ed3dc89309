/** Columns of a plain terminal, and of a mail. */
export const WIDTH = 80

/**
 * A line as lines of at most {@link WIDTH} columns, cut between words. A longer word is left whole, so that a path or a value can
 * be searched for.
 *
 * @param hang room before all lines but the first
 */
export function wrapped(line: string, hang = ''): string[] {
  const lines: string[] = []
  let current = ''
  for (const word of line.match(/\s*\S+/g) ?? []) {
    if (current === '' || current.length + word.length <= WIDTH) current += word
    else {
      lines.push(current)
      current = hang + word.trimStart()
    }
  }
  return [...lines, current]
}
