import { UserError } from '../../../errors.ts'
import type { Column } from '../../../records/index.ts'
import { ByteDictionary, type PackedTexts } from '../../byteDictionary.ts'
import { GrowingCodes } from '../../growingCodes.ts'
import type { TableRules } from '../../guide/guide.ts'
import { guideColumns } from '../../headings/guideColumns.ts'
import type { RawTable } from '../../raw.ts'
import { Shifts } from '../../shifts.ts'
import { MAX_COLUMNS } from '../limits.ts'
import { RAGGED_TEXT_LENGTH } from '../tableBuilder.ts'
import { decodeText, decodeWindows1252 } from '../text.ts'
import { BLANK, MORE, RAGGED, RecordScanner, undoubled } from './scanner.ts'
import type { Layout } from './sniff.ts'

const BLOCK = 8192
/** Problems of shape kept with their text; beyond them only that they are ragged. */
const RAGGED_TEXTS = 1_000_000

/** A column of a delimited file: texts are decoded when asked for, each distinct one once. */
export class ByteColumn implements Column<string> {
  readonly codes: Column<string>['codes']
  readonly dictionary: ByteDictionary
  private decoded: readonly string[] | null = null

  constructor(codes: Column<string>['codes'], dictionary: ByteDictionary) {
    this.codes = codes
    this.dictionary = dictionary
  }

  get values(): readonly string[] {
    this.decoded ??= this.dictionary.texts()
    return this.decoded
  }
}

/** A part of a file that was read by itself, as plain data. */
export interface Part {
  readonly length: number
  /** Physical lines in it. */
  readonly lines: number
  readonly columns: readonly { readonly codes: Column<string>['codes']; readonly packed: PackedTexts }[]
  readonly ragged: ReadonlyMap<number, string>
  readonly lineFrom: readonly number[]
  readonly lineShift: readonly number[]
}

/** Gathers the records of a delimited file into columns while the bytes pass by. */
export class TableOfRecords {
  private readonly layout: Layout
  private readonly rules: TableRules
  private readonly scanner: RecordScanner
  private readonly dictionaries: ByteDictionary[]
  private readonly codes: GrowingCodes[]
  /** Columns that are kept: all but those the guide says to ignore, which cost no memory. */
  private readonly kept: readonly number[]
  /** The block being filled, column after column. */
  private readonly block: Int32Array
  private inBlock = 0
  private passedOver: number
  private readonly ragged = new Map<number, string>()
  private length = 0

  /** Records taken so far. */
  get records(): number {
    return this.length
  }

  /** The physical line of each record. */
  private readonly lines = new Shifts()
  private scratch = new Uint8Array(1024)

  constructor(file: string, layout: Layout, rules: TableRules, recordBytes: number) {
    const width = layout.headings.length
    if (width > MAX_COLUMNS)
      throw new UserError(
        `${file}, line ${layout.headingLine}: more than ${MAX_COLUMNS} columns, the most that are read. Export fewer columns.`,
      )
    this.layout = layout
    this.rules = rules
    this.scanner = new RecordScanner(layout.delimiter, Math.max(width, 1), recordBytes)
    const encoding = rules.encoding === 'windows-1252' ? 'windows-1252' : 'utf-8'
    this.dictionaries = layout.headings.map(() => new ByteDictionary(encoding))
    this.codes = layout.headings.map(() => new GrowingCodes())
    const ignored = guideColumns(layout.headings, rules).map((column) => column?.field === 'ignore')
    this.kept = [...layout.headings.keys()].filter((k) => !ignored[k])
    this.block = new Int32Array(BLOCK * width)
    this.passedOver = layout.headingLine === 0 ? 0 : layout.titleRecords.length + 1
  }

  /** Takes all records whose end is certain; returns where the rest begins. `bytes[end]` must be a line feed. No record is begun at `stop` or beyond. */
  take(bytes: Uint8Array, end: number, final: boolean, stop = Number.POSITIVE_INFINITY): number {
    const { scanner } = this
    scanner.position = 0
    scanner.forget()
    for (;;) {
      if (scanner.position >= stop && !scanner.skipping) return scanner.position
      const met = scanner.next(bytes, end, final)
      if (met === MORE) return scanner.position
      if (met === BLANK) continue
      if (this.passedOver > 0) {
        this.passedOver--
        scanner.forget()
        continue
      }
      this.lines.note(this.length, scanner.line - this.length)
      if (met === RAGGED || scanner.count !== this.dictionaries.length) this.addRagged(bytes)
      else this.addRecord(bytes)
      this.length++
      if (this.inBlock === BLOCK) this.flush()
    }
  }

  /** The headings lie in another part of the file. */
  passOverNothing(): void {
    this.passedOver = 0
  }

  /** Whether the next record begins afresh, with the headings behind it. */
  get isBetweenRecords(): boolean {
    return !this.scanner.skipping && this.passedOver === 0
  }

  finish(file: string, remarks: readonly string[]): RawTable {
    this.flush()
    const { layout, lines } = this
    return {
      file,
      headings: layout.headings,
      above: layout.titleCells,
      length: this.length,
      columns: this.dictionaries.map(
        (dictionary, k) => new ByteColumn((this.codes[k] as GrowingCodes).finish(), dictionary),
      ),
      ragged: this.ragged,
      lineOf: (record) => lines.at(record),
      serialDayZero: null,
      remarks,
    }
  }

  /** Makes room for so many records. */
  expect(records: number): void {
    for (const codes of this.codes) codes.expected = records
  }

  /** What was read, to be joined to the other parts of the file. */
  part(): Part {
    this.flush()
    return {
      length: this.length,
      lines: this.scanner.nextLine - 1,
      columns: this.dictionaries.map((dictionary, k) => ({
        codes: (this.codes[k] as GrowingCodes).finish(),
        packed: dictionary.pack(),
      })),
      ragged: this.ragged,
      lineFrom: this.lines.from,
      lineShift: this.lines.shift,
    }
  }

  /** Takes in the next part of the file, as if its bytes had passed by here. */
  append(part: Part): void {
    const lines = this.scanner.nextLine - 1
    part.lineFrom.forEach((from, k) => {
      this.lines.note(this.length + from, part.lineShift[k]! + lines - this.length)
    })
    this.scanner.nextLine = lines + part.lines + 1
    for (const [record, text] of part.ragged)
      this.ragged.set(this.length + record, this.ragged.size < RAGGED_TEXTS ? text : '')
    part.columns.forEach(({ codes, packed }, k) => {
      const dictionary = this.dictionaries[k] as ByteDictionary
      const numbers = dictionary.addAll(packed)
      ;(this.codes[k] as GrowingCodes).appendRenumbered(codes, numbers, dictionary.size - 1)
    })
    this.length += part.length
  }

  private addRecord(bytes: Uint8Array): void {
    const { scanner, dictionaries, kept, block, inBlock } = this
    const { starts, ends, doubled, plain, shared } = scanner
    const before = inBlock === 0 ? BLOCK - 1 : inBlock - 1
    for (let nth = 0; nth < kept.length; nth++) {
      const k = kept[nth] as number
      const at = k * BLOCK + inBlock
      if (k < shared) {
        block[at] = block[k * BLOCK + before] as number
        continue
      }
      const start = starts[k] as number
      const end = ends[k] as number
      if (start === end) block[at] = 0
      else if (plain || doubled[k] === 0)
        block[at] = (dictionaries[k] as ByteDictionary).codeOf(bytes, start, end)
      else block[at] = this.doubledCode(bytes, start, end, dictionaries[k] as ByteDictionary)
    }
    this.inBlock++
  }

  private doubledCode(bytes: Uint8Array, start: number, end: number, dictionary: ByteDictionary): number {
    if (this.scratch.length < end - start) this.scratch = new Uint8Array((end - start) * 2)
    const length = undoubled(bytes, start, end, this.scratch)
    return dictionary.codeOf(this.scratch, 0, length)
  }

  private addRagged(bytes: Uint8Array): void {
    const { scanner } = this
    const end = Math.min(scanner.recordEnd, scanner.recordStart + RAGGED_TEXT_LENGTH * 4)
    const found = bytes.subarray(scanner.recordStart, end)
    const text = this.rules.encoding === 'windows-1252' ? decodeWindows1252(found) : decodeText(found).text
    this.ragged.set(this.length, this.ragged.size < RAGGED_TEXTS ? firstCharacters(text) : '')
    for (let k = 0, at = this.inBlock; k < this.dictionaries.length; k++, at += BLOCK) this.block[at] = 0
    this.inBlock++
  }

  private flush(): void {
    if (this.inBlock === 0) return
    for (let k = 0; k < this.codes.length; k++)
      (this.codes[k] as GrowingCodes).append(
        this.block.subarray(k * BLOCK, k * BLOCK + this.inBlock),
        this.inBlock,
        (this.dictionaries[k] as ByteDictionary).size - 1,
      )
    this.inBlock = 0
  }
}

/** Cut to the length that is kept, never through the middle of a character; a mark at the start of the line is no text. */
const firstCharacters = (text: string): string =>
  (text.startsWith('\ufeff') ? text.slice(1) : text)
    .slice(0, RAGGED_TEXT_LENGTH)
    .replace(/[\ud800-\udbff]$/, '')
