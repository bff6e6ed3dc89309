import { type Document, isMap, isNode, isScalar, LineCounter, parseDocument } from 'yaml'
import type { z } from 'zod'
import { UserError } from '../../errors.ts'
import type { ReadingGuide } from './guide.ts'
import { guideSchema } from './schema.ts'

const MAX_GUIDE_CHARACTERS = 1_000_000
const MESSAGES_SHOWN = 20

/** One thing wrong with a guide. */
export interface GuideIssue {
  /** From 1. */
  readonly line: number
  /** Where in the guide, as `files.2.columns.Strokes`; empty for the whole. */
  readonly key: string
  readonly message: string
}

/**
 * A reading guide from its YAML text. Every value is taken as it is typed (`007`, `no` and `1.0` are words), so nothing
 * turns into a number or a yes/no by itself.
 *
 * @param file the guide's name, for messages
 * @throws UserError listing every fault by file and line, with what was found and what is allowed
 */
export function parseGuide(text: string, file: string): ReadingGuide {
  const { guide, issues } = readGuide(text)
  if (guide !== null) return guide
  const shown = issues.slice(0, MESSAGES_SHOWN).map(({ line, key, message }) => {
    const where = key === '' ? '' : `${key}: `
    return `${file}:${line}: ${where}${message}`
  })
  const more = issues.length > MESSAGES_SHOWN ? [`and ${issues.length - MESSAGES_SHOWN} more`] : []
  throw new UserError(`The reading guide cannot be used.\n${[...shown, ...more].join('\n')}`, {
    ofInput: true,
  })
}

/** The guide, or what is wrong with it. */
export function readGuide(text: string): {
  readonly guide: ReadingGuide | null
  readonly issues: readonly GuideIssue[]
} {
  if (text.length > MAX_GUIDE_CHARACTERS)
    return failed(1, `is longer than ${MAX_GUIDE_CHARACTERS} characters; it is no reading guide`)
  const lines = new LineCounter()
  const document = parseDocument(text, {
    schema: 'failsafe',
    lineCounter: lines,
    prettyErrors: false,
    logLevel: 'silent',
  })
  const issues = document.errors.map(({ pos, message }) => ({
    line: lines.linePos(pos[0]).line,
    key: '',
    message: `this is not YAML: ${message.split('\n')[0]}`,
  }))
  if (issues.length > 0) return { guide: null, issues }
  if (document.contents === null) return { guide: {}, issues: [] }
  let plain: unknown
  try {
    plain = document.toJS({ maxAliasCount: 50 })
  } catch {
    return failed(1, 'has a reference (`*name`) that leads nowhere, or too many of them')
  }
  const read = guideSchema.safeParse(plain)
  if (read.success) return { guide: read.data, issues: [] }
  return {
    guide: null,
    issues: read.error.issues.map((issue) => issueOf(issue, document, lines)).sort((a, b) => a.line - b.line),
  }
}

const failed = (line: number, message: string) => ({ guide: null, issues: [{ line, key: '', message }] })

function issueOf(issue: z.core.$ZodIssue, document: Document, lines: LineCounter): GuideIssue {
  const unknownKey = issue.code === 'unrecognized_keys' ? issue.keys[0] : undefined
  const path = [...issue.path.map(String), ...(unknownKey === undefined ? [] : [unknownKey])]
  return {
    line: lineOf(document, lines, path),
    // People count from one.
    key: path
      .map((part, i) => (path[i - 1] === 'files' && i === 1 ? String(Number(part) + 1) : part))
      .join('.'),
    message: issue.message,
  }
}

/** The line of the last key of a path that the guide has. */
function lineOf(document: Document, lines: LineCounter, path: readonly string[]): number {
  let offset = 0
  for (let depth = 1; depth <= path.length; depth++) {
    const parent = depth === 1 ? document.contents : document.getIn(path.slice(0, depth - 1), true)
    const key = path[depth - 1] as string
    const node = isMap(parent)
      ? parent.items.find((pair) => isScalar(pair.key) && String(pair.key.value) === key)?.key
      : document.getIn(path.slice(0, depth), true)
    if (!isNode(node) || !node.range) break
    offset = node.range[0]
  }
  return Math.max(1, lines.linePos(offset).line)
}
