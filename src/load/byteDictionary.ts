import { UserError } from '../errors.ts'
import { decodeText, decodeWindows1252 } from './formats/text.ts'

const FIRST_SLOTS = 64
const MOST_BYTES = 2 ** 32 - 1

/** Hash of bytes, four at a time (each step as in MurmurHash2, Appleby 2008, with another multiplier). */
function hashBytes(bytes: Uint8Array, from: number, to: number): number {
  let hash = to - from
  let i = from
  for (; i + 4 <= to; i += 4) {
    const four =
      (bytes[i] as number) |
      ((bytes[i + 1] as number) << 8) |
      ((bytes[i + 2] as number) << 16) |
      ((bytes[i + 3] as number) << 24)
    hash = Math.imul(hash ^ four, 0x9e3779b1)
    hash ^= hash >>> 15
  }
  for (; i < to; i++) hash = Math.imul(hash ^ (bytes[i] as number), 0x01000193)
  return hash ^ (hash >>> 15)
}

/** Distinct byte strings as plain arrays. */
export interface PackedTexts {
  readonly size: number
  readonly bytes: Uint8Array
  readonly ends: Uint32Array
  readonly hashes: Int32Array
}

/**
 * Distinct byte strings, numbered in order of first appearance; number 0 is the empty one. Their bytes lie end to
 * end and nothing is decoded until it is asked for.
 */
export class ByteDictionary {
  private bytes: Uint8Array<ArrayBufferLike> = new Uint8Array(1024)
  private used = 0
  /** Where string k ends; it begins where k − 1 ends. */
  private ends = new Uint32Array(64)
  private hashes = new Int32Array(64)
  private slots = new Int32Array(FIRST_SLOTS)
  private mask = FIRST_SLOTS - 1
  size = 1
  /** The number given last: the next is most often the same. */
  private last = 0
  private readonly alwaysWindows1252: boolean

  constructor(encoding: 'utf-8' | 'windows-1252' = 'utf-8') {
    this.alwaysWindows1252 = encoding === 'windows-1252'
  }

  /** The number of `source[from, to)`; a new one where it was not seen before. */
  codeOf(source: Uint8Array, from: number, to: number): number {
    if (from === to) return 0
    if (this.last !== 0 && this.holds(this.last, source, from, to)) return this.last
    return this.find(source, from, to, hashBytes(source, from, to))
  }

  private find(source: Uint8Array, from: number, to: number, hash: number): number {
    const { slots, hashes, mask } = this
    let slot = hash & mask
    for (let code = slots[slot] as number; code !== 0; code = slots[slot] as number) {
      if (hashes[code] === hash && this.holds(code, source, from, to)) {
        this.last = code
        return code
      }
      slot = (slot + 1) & mask
    }
    this.last = this.add(source, from, to, hash, slot)
    return this.last
  }

  /** Whether string `code` is `source[from, to)`. Most differ near their end, so that is looked at first. */
  private holds(code: number, source: Uint8Array, from: number, to: number): boolean {
    const { bytes, ends } = this
    const start = ends[code - 1] as number
    let i = to - from
    if ((ends[code] as number) - start !== i) return false
    while (i > 0 && bytes[start + i - 1] === source[from + i - 1]) i--
    return i === 0
  }

  /** The number of a text, as UTF-8. */
  codeOfText(text: string): number {
    if (text === '') return 0
    return this.codeOfBytes(Buffer.from(text, 'utf8'))
  }

  codeOfBytes(bytes: Uint8Array): number {
    return this.codeOf(bytes, 0, bytes.length)
  }

  textOf(code: number): string {
    const bytes = this.bytesOf(code)
    return this.alwaysWindows1252 ? decodeWindows1252(bytes) : decodeText(bytes).text
  }

  /** The bytes of string `code` where they lie; valid until the next is added. */
  bytesOf(code: number): Uint8Array {
    return code === 0
      ? this.bytes.subarray(0, 0)
      : this.bytes.subarray(this.ends[code - 1] as number, this.ends[code] as number)
  }

  /** Whether string `code` is UTF-8 as it stands. */
  isPlain(code: number): boolean {
    return !this.alwaysWindows1252 && decodeText(this.bytesOf(code)).utf8
  }

  /** What it holds, to be handed to another thread; no more is added here afterwards. */
  pack(): PackedTexts {
    return {
      size: this.size,
      bytes: this.bytes.slice(0, this.used),
      ends: this.ends.slice(0, this.size),
      hashes: this.hashes.slice(0, this.size),
    }
  }

  /** Takes in what another holds, in its order; returns the number here of each of its numbers. */
  addAll({ size, bytes, ends, hashes }: PackedTexts): Int32Array {
    const numbers = new Int32Array(size)
    for (let code = 1; code < size; code++)
      numbers[code] = this.find(bytes, ends[code - 1] as number, ends[code] as number, hashes[code] as number)
    return numbers
  }

  /** All texts by number. */
  texts(): string[] {
    return Array.from({ length: this.size }, (_, code) => this.textOf(code))
  }

  private add(source: Uint8Array, from: number, to: number, hash: number, slot: number): number {
    const code = this.size
    const end = this.used + to - from
    if (end > MOST_BYTES)
      throw new UserError(
        'One column holds more than 4 GB of differing text. Split the export by month and read the parts.',
      )
    if (end > this.bytes.length) {
      const grown = new Uint8Array(Math.min(MOST_BYTES, Math.max(end, this.bytes.length * 2)))
      grown.set(this.bytes.subarray(0, this.used))
      this.bytes = grown
    }
    if (to - from > 64) this.bytes.set(source.subarray(from, to), this.used)
    else for (let i = from, at = this.used; i < to; i++, at++) this.bytes[at] = source[i] as number
    this.used = end
    if (code === this.ends.length) this.growEntries()
    this.ends[code] = end
    this.hashes[code] = hash
    this.slots[slot] = code
    this.size++
    if (this.size * 2 > this.slots.length) this.growSlots()
    return code
  }

  private growEntries(): void {
    const length = this.ends.length * 2
    const ends = new Uint32Array(length)
    ends.set(this.ends)
    this.ends = ends
    const hashes = new Int32Array(length)
    hashes.set(this.hashes)
    this.hashes = hashes
  }

  private growSlots(): void {
    this.slots = new Int32Array(this.slots.length * 2)
    this.mask = this.slots.length - 1
    for (let code = 1; code < this.size; code++) {
      const hash = this.hashes[code] as number
      let slot = hash & this.mask
      while (this.slots[slot] !== 0) slot = (slot + 1) & this.mask
      this.slots[slot] = code
    }
  }
}
