import { MAX_JSON_DEPTH, MAX_JSON_FRAME_BYTES, MAX_JSON_RECORD_BYTES } from './limits.ts'

const QUOTE = 0x22
const BACKSLASH = 0x5c
const COMMA = 0x2c
const COLON = 0x3a
const OPEN_LIST = 0x5b
const CLOSE_LIST = 0x5d
const OPEN_OBJECT = 0x7b
const CLOSE_OBJECT = 0x7d

const isSpace = (byte: number): boolean => byte === 0x20 || byte === 0x0a || byte === 0x0d || byte === 0x09

/** One entry of a list in a JSON file. */
export interface JsonEntry {
  /** Keys from the top of the file to the list; empty when the file is one list. */
  readonly path: readonly string[]
  /** The entry's bytes; only the beginning where it is too long or too deep to be read. */
  readonly bytes: Uint8Array
  /** False where the entry is too long, too deep, or the file ends inside it. */
  readonly whole: boolean
  /** The physical line (from 1) it begins on. */
  readonly line: number
}

/**
 * Cuts a JSON file into the entries of its lists of objects without holding it: whatever else it holds (the *frame*)
 * is kept with each such list left empty. A damaged entry costs no more than what cannot be told apart from it.
 * A top-level list is cut whatever its entries are; a list within an entry is part of the entry.
 */
export class JsonEntryScanner {
  private readonly emit: (entry: JsonEntry) => void
  private readonly frame: number[] = []
  /** True once the frame is larger than is kept. */
  frameTooLarge = false

  private line = 1
  private inString = false
  private escaped = false
  /** Open objects (by key) and lists of the frame. */
  private readonly open: (string | null)[] = []
  private listsOpen = 0
  private stringStart = -1
  private pendingKey = ''
  private pendingKeyOfList = ''
  private lastString = ''
  /** A list has just opened and its first byte decides whether it is cut. */
  private undecided = false
  private path: string[] | null = null
  private depth = 0
  private deepest = 0
  private entryLine = 0
  private entryLength = 0
  private pieces: Uint8Array[] = []

  constructor(emit: (entry: JsonEntry) => void) {
    this.emit = emit
  }

  push(chunk: Uint8Array): void {
    let at = 0
    while (at < chunk.length) at = this.path === null ? this.frameByte(chunk, at) : this.inList(chunk, at)
  }

  /** The frame's text, once all is pushed; an entry that has not ended is given out as not whole. */
  end(): string {
    if (this.entryLength > 0) this.endEntry(false)
    return Buffer.from(this.frame).toString('utf8')
  }

  private frameByte(chunk: Uint8Array, at: number): number {
    const byte = chunk[at] as number
    if (this.undecided && !isSpace(byte)) {
      this.undecided = false
      if (byte === OPEN_OBJECT || this.open.length === 1) {
        this.path = this.open.slice(1, -1).map((key) => key ?? '')
        if (this.open.length > 1) this.path.push(this.pendingKeyOfList)
        return at
      }
    }
    if (this.frame.length < MAX_JSON_FRAME_BYTES) this.frame.push(byte)
    else this.frameTooLarge = true
    if (byte === 0x0a) this.line++
    if (this.inString) this.frameString(byte)
    else this.frameMark(byte)
    return at + 1
  }

  private frameString(byte: number): void {
    if (this.escaped) this.escaped = false
    else if (byte === BACKSLASH) this.escaped = true
    else if (byte === QUOTE) {
      this.inString = false
      if (this.stringStart >= 0) this.lastString = textOf(this.frame.slice(this.stringStart))
    }
  }

  private frameMark(byte: number): void {
    switch (byte) {
      case QUOTE:
        this.inString = true
        this.stringStart = this.frameTooLarge ? -1 : this.frame.length - 1
        break
      case COLON:
        this.pendingKey = this.lastString
        break
      case OPEN_OBJECT:
        this.open.push(this.pendingKey)
        this.pendingKey = ''
        break
      case OPEN_LIST:
        this.undecided = this.listsOpen === 0
        this.pendingKeyOfList = this.pendingKey
        this.open.push(null)
        this.listsOpen++
        break
      case CLOSE_OBJECT:
      case CLOSE_LIST:
        if (this.open.length > 0 && this.open.pop() === null) this.listsOpen--
        this.undecided = false
        break
    }
  }

  /** Between entries or inside one, from `at` to the end of the entry, the list or the chunk. */
  private inList(chunk: Uint8Array, at: number): number {
    if (this.entryLength === 0) {
      const byte = chunk[at] as number
      if (byte === 0x0a) this.line++
      if (byte === CLOSE_LIST) {
        this.path = null
        return at
      }
      if (isSpace(byte) || byte === COMMA) return at + 1
      this.entryLine = this.line
      this.depth = 0
      this.deepest = 0
      this.inString = false
      this.escaped = false
    }
    return this.inEntry(chunk, at)
  }

  private inEntry(chunk: Uint8Array, start: number): number {
    let { depth, inString, escaped, line, deepest } = this
    let at = start
    let ended = false
    for (; at < chunk.length; at++) {
      const byte = chunk[at] as number
      if (inString) {
        if (escaped) escaped = false
        else if (byte === BACKSLASH) escaped = true
        else if (byte === QUOTE) inString = false
        else if (byte === 0x0a) line++
      } else if (byte === QUOTE) inString = true
      else if (byte === OPEN_OBJECT || byte === OPEN_LIST) {
        depth++
        if (depth > deepest) deepest = depth
      } else if (byte === COMMA || byte === CLOSE_LIST) {
        if (depth > 0) {
          if (byte === CLOSE_LIST) depth--
        } else {
          ended = true
          break
        }
      } else if (byte === CLOSE_OBJECT) {
        // A stray brace stays with the entry it follows, which then does not parse.
        if (depth > 0) depth--
      } else if (byte === 0x0a) line++
    }
    this.depth = depth
    this.inString = inString
    this.escaped = escaped
    this.line = line
    this.deepest = deepest
    this.keep(chunk.subarray(start, at))
    if (ended) this.endEntry(true)
    return at
  }

  private keep(piece: Uint8Array): void {
    if (this.entryLength + piece.length <= MAX_JSON_RECORD_BYTES) this.pieces.push(piece.slice())
    else if (this.pieces.length === 0) this.pieces.push(piece.slice(0, 1000))
    this.entryLength += piece.length
  }

  private endEntry(ended: boolean): void {
    const whole = ended && this.entryLength <= MAX_JSON_RECORD_BYTES && this.deepest <= MAX_JSON_DEPTH
    const bytes = this.pieces.length === 1 ? (this.pieces[0] as Uint8Array) : Buffer.concat(this.pieces)
    this.emit({ path: this.path ?? [], bytes, whole, line: this.entryLine })
    this.pieces = []
    this.entryLength = 0
    this.inString = false
    this.escaped = false
  }
}

/** The text of a JSON string, quotes included; as it stands where it is broken. */
function textOf(bytes: readonly number[]): string {
  const text = Buffer.from(bytes).toString('utf8')
  try {
    return String(JSON.parse(text))
  } catch {
    return text
  }
}
