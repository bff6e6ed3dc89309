/** Columns of a plain terminal, and of a mail. */
export const WIDTH = 80

/**
 * A line as lines of at most {@link WIDTH} columns, cut between words. A longer word is left whole, so that a path or a value can
 * be searched for.
 *
 * @param hang room before all lines but the first
 * @param width columns, {@link WIDTH} unless given
 */
export function wrapped(line: string, hang = '', width: number = WIDTH): string[] {
  const lines: string[] = []
  let current = ''
  for (const word of line.match(/\s*\S+/g) ?? []) {
    if (current === '' || current.length + word.length <= width) current += word
    else {
      lines.push(current)
      current = hang + word.trimStart()
    }
  }
  return [...lines, current]
}

/**
 * The text after a command's options, as lines of at most {@link WIDTH} columns: paragraphs are filled, and an example that is
 * longer goes on after a backslash, so that it can be copied into a shell as it stands.
 */
export function helpText(text: string): string {
  const lines: string[] = []
  let paragraph: string[] = []
  const end = (): void => {
    if (paragraph.length > 0) lines.push(...wrapped(paragraph.join(' ')))
    paragraph = []
  }
  for (const line of text.split('\n')) {
    if (/^\S/.test(line)) paragraph.push(line)
    else {
      end()
      lines.push(...(line.startsWith('  waneline ') ? command(line) : [line]))
    }
  }
  end()
  return lines.join('\n')
}

/** A command over several lines of a shell. */
function command(line: string): string[] {
  const lines = wrapped(line, '    ', WIDTH - 2)
  return lines.map((l, i) => (i < lines.length - 1 ? `${l} \\` : l))
}
