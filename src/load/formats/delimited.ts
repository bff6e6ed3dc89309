import { UserError } from '../../errors.ts'
import type { ReadContext } from '../context.ts'
import type { Encoding, TableRules } from '../guide/guide.ts'
import type { RawTable } from '../raw.ts'
import { asUtf8, recognisedEncoding } from './delimited/encoding.ts'
import { type RangeReader, readRanges, THREADED_BYTES, threadsFor } from './delimited/ranges.ts'
import { type Layout, sniffLayout } from './delimited/sniff.ts'
import { TableOfRecords } from './delimited/tableOfRecords.ts'
import { MAX_RECORD_BYTES } from './limits.ts'
import { headOf, type Source } from './source.ts'

/** Bytes looked at before anything is decided; decisions do not depend on how the input comes in pieces. */
const HEAD_BYTES = 256 * 1024
const LINE_FEED = 10

/**
 * Delimited text: comma, semicolon, tab or pipe; UTF-8, UTF-16 or Windows-1252; any line ends, mixed too. One pass,
 * in pieces; each distinct value of a column is held once and nothing is decoded before it is asked for.
 * A record that has not as many fields as there are headings, or whose quoting is broken, is ragged.
 */
export async function readDelimited(
  source: Source,
  context: ReadContext,
  options: {
    /** Longest record, bytes. */ readonly recordBytes?: number
    /** Bytes looked at before the layout is decided. */ readonly headBytes?: number
    /** Threads that read a file on disk; as many as it and the machine are good for unless given, 1 for none. */
    readonly threads?: number
    /** What reads a range of such a file; a thread of its own unless given. */
    readonly readRange?: RangeReader
  } = {},
): Promise<RawTable[]> {
  const recordBytes = options.recordBytes ?? MAX_RECORD_BYTES
  const headBytes = options.headBytes ?? HEAD_BYTES
  const rules = context.rulesFor(source.file)
  let encoding: Encoding | null = rules.encoding ?? null
  let table: TableOfRecords | null = null
  const remarks: string[] = []
  let looked = headBytes

  /** The table, once the beginning shows its headings; null where more has to be looked at. */
  const begin = (head: Uint8Array, whole: boolean): TableOfRecords | null => {
    const layout = sniffLayout(head, whole, rules, recordBytes)
    if (layout.headingLine === 0 && !whole && head.length <= recordBytes) return null
    remarks.push(...titleRemarks(layout))
    if (encoding !== 'utf-8') remarks.push(`read as ${encoding}`)
    return new TableOfRecords(source.file, layout, rules, recordBytes)
  }
  // One buffer for all pieces: what is left of the last piece is moved to its front.
  let buffer: Uint8Array = new Uint8Array(0)
  let held = 0
  const take = (chunk: Uint8Array, final: boolean): void => {
    const end = held + chunk.length
    if (end + 1 > buffer.length) {
      const grown = new Uint8Array(Math.max(end + 1, Math.ceil(buffer.length * 1.5)))
      grown.set(buffer.subarray(0, held))
      buffer = grown
    }
    buffer.set(chunk, held)
    buffer[end] = LINE_FEED
    held = end
    while (table === null) {
      if (end < looked && !final) return
      table = begin(buffer.subarray(0, Math.min(end, looked)), final && end <= looked)
      looked *= 2
    }
    const rest = table.take(buffer, end, final)
    buffer.copyWithin(0, rest, end)
    held = end - rest
  }

  const threads = options.threads ?? threadsOf(source)
  if (threads > 1) {
    const read = await readInThreads(source, rules, { ...options, recordBytes, headBytes, threads })
    if (read !== null) return [read]
  }
  const first = new FirstBytes(source.chunks())
  encoding ??= recognisedEncoding(await first.peek(4096))
  for await (const chunk of asUtf8(first.all(), encoding)) take(chunk, false)
  take(new Uint8Array(0), true)
  return [(table as TableOfRecords | null)!.finish(source.file, remarks)]
}

const threadsOf = ({ onDisk }: Source): number =>
  onDisk === undefined || onDisk.bytes < THREADED_BYTES ? 1 : threadsFor(onDisk.bytes)

/** The same table, read by several threads; null where that cannot be done and nothing has been decided. */
async function readInThreads(
  source: Source,
  rules: TableRules,
  options: {
    readonly recordBytes: number
    readonly headBytes: number
    readonly threads: number
    readonly readRange?: RangeReader
  },
): Promise<RawTable | null> {
  const { recordBytes, headBytes, threads } = options
  if (source.onDisk === undefined) return null
  const { path, bytes, onBytes, readElsewhere } = source.onDisk
  const head = await headOf(source, headBytes)
  if (bytes <= headBytes || (rules.encoding ?? recognisedEncoding(head.subarray(0, 4096))) !== 'utf-8')
    return null
  const layout = sniffLayout(head, false, rules, recordBytes)
  if (layout.headingLine === 0) return null
  const ranged = { path, file: source.file, layout, rules, recordBytes }
  let seen = 0
  const count = (more: number): void => {
    seen += more
    onBytes(seen)
  }
  const parts = await readRanges(ranged, threads, count, options.readRange).catch((error) => {
    // A file that cannot be read at all is told by whoever reads it in one go.
    if (error instanceof UserError) throw error
    return null
  })
  if (parts === null) return null
  readElsewhere()
  const table = new TableOfRecords(source.file, layout, rules, recordBytes)
  table.expect(parts.reduce((records, part) => records + part.length, 0))
  // Each part is let go once it is joined: together they are as large as the table.
  for (let part = parts.shift(); part !== undefined; part = parts.shift()) table.append(part)
  return table.finish(source.file, titleRemarks(layout))
}

const titleRemarks = ({ titleRecords }: Layout): string[] =>
  titleRecords.length === 0
    ? []
    : [`passed over above the headings: ${titleRecords.map((t) => `"${t}"`).join(', ')}`]

/** A stream whose beginning can be looked at before it is read. */
class FirstBytes {
  private readonly iterator: AsyncIterator<Uint8Array>
  private readonly seen: Uint8Array[] = []

  constructor(chunks: AsyncIterable<Uint8Array>) {
    this.iterator = chunks[Symbol.asyncIterator]()
  }

  async peek(length: number): Promise<Uint8Array> {
    for (let total = 0; total < length; ) {
      const next = await this.iterator.next()
      if (next.done) break
      this.seen.push(next.value.slice())
      total += next.value.length
    }
    return Buffer.concat(this.seen).subarray(0, length)
  }

  async *all(): AsyncGenerator<Uint8Array> {
    try {
      yield* this.seen.splice(0)
      for (;;) {
        const next = await this.iterator.next()
        if (next.done) return
        yield next.value
      }
    } finally {
      await this.iterator.return?.()
    }
  }
}
