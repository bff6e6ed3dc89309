/** `npm run reference:api`: the public functions by room, with signature and docstring, to notebooks/guides/api.md. */
import { writeFileSync } from 'node:fs'
import { relative } from 'node:path'
import { fileURLToPath } from 'node:url'
import ts from 'typescript'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
export const API_FILE = fileURLToPath(new URL('./api.md', import.meta.url))

const ROOMS: Readonly<Record<string, string>> = {
  notebook: 'Writing a notebook',
  reading: 'Reading exports',
  records: 'Records',
  measures: 'Measures',
  charts: 'Charts',
  wording: 'Words for a page',
  release: 'Release',
  statistics: 'Statistics, as `statistics.…`',
  other: 'Other',
}

interface Entry {
  readonly room: string
  readonly name: string
  readonly signature: string
  readonly text: string
}

function program(): ts.Program {
  const config = ts.readConfigFile(`${ROOT}tsconfig.json`, ts.sys.readFile)
  const { options } = ts.parseJsonConfigFileContent(
    { ...config.config, include: [], files: ['src/index.ts'] },
    ts.sys,
    ROOT,
  )
  return ts.createProgram([`${ROOT}src/index.ts`], options)
}

const roomOf = (file: string): string => {
  const [, room = ''] = relative(ROOT, file).split('/')
  const name = room.replace(/\.ts$/, '')
  return name in ROOMS ? name : 'other'
}

/** Docstring as Markdown: links as code, tags as lines. */
function textOf(symbol: ts.Symbol, checker: ts.TypeChecker): string {
  const parts = (some: readonly ts.SymbolDisplayPart[] | undefined): string =>
    ts
      .displayPartsToString([...(some ?? [])])
      .replace(/\{@link\s+([^}\s]+)\s*\}/g, '`$1`')
      .trim()
  const tags = symbol
    .getJsDocTags(checker)
    .map((tag) => `- *${tag.name}* ${parts(tag.text).replace(/\s*\n\s*/g, ' ')}`)
  return [parts(symbol.getDocumentationComment(checker)), tags.join('\n')]
    .filter((t) => t !== '')
    .join('\n\n')
}

function entryOf(symbol: ts.Symbol, checker: ts.TypeChecker): Entry | null {
  const aliased = symbol.flags & ts.SymbolFlags.Alias ? checker.getAliasedSymbol(symbol) : symbol
  const at = aliased.declarations?.[0]
  if (!at || at.getSourceFile().fileName.includes('node_modules')) return null
  if (!(aliased.flags & (ts.SymbolFlags.Function | ts.SymbolFlags.Variable))) return null
  const [call] = checker.getTypeOfSymbolAtLocation(aliased, at).getCallSignatures()
  if (!call) return null
  const flags = ts.TypeFormatFlags.NoTruncation | ts.TypeFormatFlags.WriteArrowStyleSignature
  const signature = `${symbol.name}${checker.signatureToString(call, undefined, flags).replace(/import\("[^"]*"\)\./g, '')}`
  return {
    room: roomOf(at.getSourceFile().fileName),
    name: symbol.name,
    signature,
    text: textOf(aliased, checker),
  }
}

/** Every public function of the toolkit. */
function entries(): Entry[] {
  const all = program()
  const checker = all.getTypeChecker()
  const exportsOf = (symbol: ts.Symbol): ts.Symbol[] => checker.getExportsOfModule(symbol)
  const top = exportsOf(checker.getSymbolAtLocation(all.getSourceFile(`${ROOT}src/index.ts`)!)!)
  const within = top
    .filter((s) => s.name === 'statistics')
    .flatMap((s) => exportsOf(checker.getAliasedSymbol(s)))
  return [...top, ...within].map((s) => entryOf(s, checker)).filter((e) => e !== null)
}

/** The reference as Markdown. */
export function apiReference(): string {
  const all = entries()
  const byName = (a: Entry, b: Entry): number => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0)
  const rooms = Object.entries(ROOMS).flatMap(([room, title]) => {
    const own = all.filter((e) => e.room === room).sort(byName)
    if (own.length === 0) return []
    return [
      `## ${title}`,
      ...own.map((e) =>
        [`### ${e.name}`, `\`\`\`ts\n${e.signature}\n\`\`\``, e.text].filter(Boolean).join('\n\n'),
      ),
    ]
  })
  return `# Functions\n\nEvery public function, by room, from the docstrings. Written by \`npm run reference:api\`; not by hand.\n\n${rooms.join('\n\n')}\n`
}

if (process.argv[1] === fileURLToPath(import.meta.url)) writeFileSync(API_FILE, apiReference())
