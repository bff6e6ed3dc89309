/** A piece of prose: a Markdown comment block. */
export interface Prose {
  /** Line on which its comment begins, from 1. */
  readonly line: number
  readonly text: string
}

/** A cell: the lines from one marker to the next. */
export interface Cell {
  /** First and last line, from 1. */
  readonly from: number
  readonly to: number
  readonly title: string
  readonly prose: readonly Prose[]
  /** The code without prose and marker, ends trimmed. */
  readonly code: string
}

const MARKER = /^\s*\/\/\s*%%\s*(.*)$/
const PROSE = /^[ \t]*\/\*\*?[ \t]*md\b[ \t]*\n?([\s\S]*?)\*\/[ \t]*$/gm

const lineAt = (source: string, index: number): number => source.slice(0, index).split('\n').length

/** Takes the common indent and a leading `*` of each line away, as editors put them into comment blocks. */
function dedent(text: string): string {
  const lines = text.replace(/\s+$/, '').split('\n')
  const starred = lines.every((l) => /^\s*(\*( |$)|$)/.test(l)) && lines.some((l) => /^\s*\* /.test(l))
  const bare = starred ? lines.map((l) => l.replace(/^\s*\* ?/, '')) : lines
  const indents = bare.filter((l) => l.trim()).map((l) => l.length - l.trimStart().length)
  const indent = indents.length ? Math.min(...indents) : 0
  return bare
    .map((l) => l.slice(indent))
    .join('\n')
    .trim()
}

/**
 * The cells of a notebook's source: `// %%` begins one, text in a block comment that opens with `md` is prose. What stands
 * before the first marker is a cell too.
 */
export function cellsOf(source: string): Cell[] {
  const text = source.replace(/\r\n?/g, '\n')
  const lines = text.split('\n')
  const prose = [...text.matchAll(PROSE)].map((m) => ({
    line: lineAt(text, m.index + (/^\s*/.exec(m[0])?.[0].length ?? 0)),
    to: lineAt(text, m.index + m[0].length),
    text: dedent(m[1] as string),
  }))
  const inProse = (line: number): boolean => prose.some((p) => line >= p.line && line <= p.to)
  const starts = lines.flatMap((l, i) => (MARKER.test(l) && !inProse(i + 1) ? [i + 1] : []))
  const froms = starts[0] === 1 ? starts : [1, ...starts]
  return froms.map((from, i) => {
    const to = (froms[i + 1] ?? lines.length + 1) - 1
    const marker = MARKER.exec(lines[from - 1] ?? '')
    const own = Array.from({ length: to - from + 1 }, (_, k) => from + k)
    return {
      from,
      to,
      title: marker?.[1]?.trim() ?? '',
      prose: prose
        .filter((p) => p.line >= from && p.line <= to)
        .map(({ line, text: t }) => ({ line, text: t })),
      code: own
        .filter((line) => !inProse(line) && !(line === from && marker))
        .map((line) => lines[line - 1])
        .join('\n')
        .replace(/^\n+|\s+$/g, ''),
    }
  })
}

/** A few lines of a source around one, numbered, the line itself marked. */
export function excerpt(source: string, line: number, around = 2): string {
  const lines = source.split(/\r\n|\r|\n/)
  const from = Math.max(1, line - around)
  const to = Math.min(lines.length, line + around)
  const width = String(to).length
  return Array.from({ length: to - from + 1 }, (_, i) => from + i)
    .map((n) => `${n === line ? '>' : ' '} ${String(n).padStart(width)} | ${lines[n - 1]}`)
    .join('\n')
}
