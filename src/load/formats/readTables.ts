import { UserError } from '../../errors.ts'
import { turnedAcross } from '../across.ts'
import type { FormatReader, ReadContext } from '../context.ts'
import type { RawTable } from '../raw.ts'
import { isPage, jsonForm, otherKind } from './forms.ts'
import { gunzipped, isGzip } from './gzip.ts'
import { readHtml } from './html.ts'
import { readJson } from './json.ts'
import { MAX_UNPACKED_BYTES } from './limits.ts'
import { readNdjson } from './ndjson.ts'
import { isParquet, readParquet } from './parquet.ts'
import { allBytes, headOf, memorySource, type Source } from './source.ts'
import { TableBuilder } from './tableBuilder.ts'
import { isWorkbookMember, isZip, type ZipMember, zipMembers } from './zip.ts'

const HEAD_BYTES = 64 * 1024

/**
 * The tables of a file of any form: told by its first bytes, and by its name only where these could be two things.
 *
 * @param delimited what reads delimited text, the form of whatever is nothing else
 * @throws UserError when the file is damaged, locked or past a limit
 */
export async function readTables(
  source: Source,
  context: ReadContext,
  delimited: FormatReader,
): Promise<RawTable[]> {
  const tables = await readAsFound(source, context, delimited)
  return tables.map((table) => turnedAcross(table, context.rulesFor(table.file)))
}

async function readAsFound(
  source: Source,
  context: ReadContext,
  delimited: FormatReader,
): Promise<RawTable[]> {
  const head = await headOf(source, HEAD_BYTES)
  if (isZip(head)) return readZip(source, context, delimited)
  if (isGzip(head)) {
    const inner = gunzipped(source)
    const innerHead = await headOf(inner, HEAD_BYTES)
    if (isGzip(innerHead) || isZip(innerHead))
      throw new UserError(`${source.file} holds a packed file within a packed file. Unpack it first.`)
    return readPlain(inner, innerHead, context, delimited)
  }
  return readPlain(source, head, context, delimited)
}

async function readPlain(
  source: Source,
  head: Uint8Array,
  context: ReadContext,
  delimited: FormatReader,
): Promise<RawTable[]> {
  if (context.rulesFor(source.file).holds === 'nothing')
    return nothingRead(source.file, `${source.file} was not read, as the guide says.`)
  if (isParquet(head)) return readParquet(source)
  if (isPage(head)) {
    // A page by its own name may be a report of these very records; one that is named a workbook is an export.
    const named = /\.x?html?$/i.test(source.file.replace(/\.gz$/i, ''))
    if (!named || context.rulesFor(source.file).holds !== undefined) return readHtml(source, context)
    return nothingRead(
      source.file,
      `${source.file} is a web page; its tables are read only where the reading guide says what they hold (holds).`,
    )
  }
  const other = otherKind(head)
  if (other !== null) return nothingRead(source.file, `${source.file} is ${other}, which is not read.`)
  const json = jsonForm(source.file, head)
  if (json === null) return delimited(source, context)
  const { identifier_system, entries } = context.rulesFor(source.file)
  const options = {
    ...(identifier_system === undefined ? {} : { identifierSystem: identifier_system }),
    ...(entries === undefined ? {} : { entries: entries.split('.') }),
  }
  return json === 'ndjson' ? readNdjson(source, options) : readJson(source, options)
}

const nothingRead = (file: string, ...remarks: readonly string[]): RawTable[] => [
  new TableBuilder(file).finish({ remarks }),
]

async function readZip(source: Source, context: ReadContext, delimited: FormatReader): Promise<RawTable[]> {
  const archive = await allBytes(source)
  const members = zipMembers(source.file, archive)
  if (members.some(({ name }) => isWorkbookMember(name)))
    return readWorkbook(memorySource(source.file, archive), context)
  if (members.some(({ name }) => name === 'mimetype') && members.some(({ name }) => name === 'content.xml'))
    return nothingRead(
      source.file,
      `${source.file} is an OpenDocument file, which is not read. Save its sheets as .xlsx or CSV.`,
    )
  const tables: RawTable[] = []
  const remarks: string[] = []
  let unpacked = 0
  for (const member of members) {
    const reason = reasonToPass(member)
    if (reason === 'unseen') continue
    if (reason !== null) {
      remarks.push(`"${member.name}" in the archive was not read: ${reason}.`)
      continue
    }
    unpacked += member.size
    if (unpacked > MAX_UNPACKED_BYTES)
      throw new UserError(
        `${source.file} unpacks to more than ${MAX_UNPACKED_BYTES} bytes. Unpack it and split it.`,
      )
    const inner = memorySource(`${source.file}/${member.name}`, member.bytes())
    tables.push(...(await readMember(inner, context, delimited)))
  }
  if (remarks.length === 0 && tables.length > 0) return tables
  return [
    ...nothingRead(
      source.file,
      ...(tables.length > 0 ? remarks : [...remarks, 'The archive holds no file that is read.']),
    ),
    ...tables,
  ]
}

/** The library for workbooks is loaded only where there is one. */
async function readWorkbook(source: Source, context: ReadContext): Promise<RawTable[]> {
  const { readXlsx } = await import('./xlsx.ts')
  return readXlsx(source, context)
}

async function readMember(
  source: Source,
  context: ReadContext,
  delimited: FormatReader,
): Promise<RawTable[]> {
  const head = await headOf(source, HEAD_BYTES)
  if (!isZip(head)) return readAsFound(source, context, delimited)
  const bytes = await allBytes(source)
  const isWorkbook = zipMembers(source.file, bytes).some(({ name }) => isWorkbookMember(name))
  return isWorkbook
    ? readWorkbook(source, context)
    : nothingRead(
        source.file,
        `${source.file} is an archive within an archive, which is not read. Unpack it first.`,
      )
}

/** Why a member is not read; `unseen` for what a computer adds by itself; null where it is read. */
function reasonToPass({ name }: ZipMember): string | null {
  const parts = name.split('/')
  if (name.startsWith('/') || /^[a-z]:/i.test(name) || parts.includes('..'))
    return 'its path leads out of the archive'
  if (name.includes('\0')) return 'its name is no name'
  if (parts[0] === '__MACOSX' || parts.some((part) => part.startsWith('.'))) return 'unseen'
  return null
}
