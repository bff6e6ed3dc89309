import { crc32, inflateRawSync } from 'node:zlib'
import { UserError } from '../../errors.ts'
import { requireHonestSize } from './gzip.ts'
import { MAX_ARCHIVE_MEMBERS } from './limits.ts'

/** A file inside a zip archive, not yet unpacked. */
export interface ZipMember {
  readonly name: string
  /** Unpacked bytes, as the archive's directory says. */
  readonly size: number
  /** Unpacks; throws a UserError when it is damaged, locked, or other than the directory says. */
  readonly bytes: () => Uint8Array
}

/** The member that makes an archive a workbook. */
export const isWorkbookMember = (name: string): boolean => /^xl\/workbook\.(xml|bin)$/i.test(name)

export const isZip = (head: Uint8Array): boolean =>
  head[0] === 0x50 && head[1] === 0x4b && (head[2] === 3 || head[2] === 5) && (head[3] === 4 || head[3] === 6)

const END_OF_DIRECTORY = 0x06054b50
const DIRECTORY_ENTRY = 0x02014b50
const LOCAL_HEADER = 0x04034b50
const STORED = 0
const DEFLATED = 8

/**
 * The files inside a zip archive, by its central directory. Read here rather than by a library because those tried
 * neither check the sum nor the size of what they unpack: a damaged member would lose records without a word.
 *
 * @param file the archive's name, for messages
 * @throws UserError when there is no readable directory, or it lists more than {@link MAX_ARCHIVE_MEMBERS} files
 */
export function zipMembers(file: string, archive: Uint8Array): ZipMember[] {
  const view = new DataView(archive.buffer, archive.byteOffset, archive.byteLength)
  const end = endOfDirectory(view)
  if (end === null) throw damaged(file, 'its list of files is missing; it may have been cut short')
  const count = view.getUint16(end + 10, true)
  let at = view.getUint32(end + 16, true)
  if (count === 0xffff || at === 0xffffffff)
    throw new UserError(`${file} is a zip archive in the 64-bit form, which is not read. Unpack it first.`)
  if (count > MAX_ARCHIVE_MEMBERS)
    throw new UserError(`${file} holds ${count} files, more than the ${MAX_ARCHIVE_MEMBERS} that are read.`)
  const members: ZipMember[] = []
  for (let n = 0; n < count; n++) {
    if (at + 46 > archive.length || view.getUint32(at, true) !== DIRECTORY_ENTRY)
      throw damaged(file, `its list of files breaks off after ${n} of ${count}`)
    const nameLength = view.getUint16(at + 28, true)
    const entry = directoryEntry(view, archive, at, nameLength)
    if (!entry.name.endsWith('/'))
      members.push({ name: entry.name, size: entry.size, bytes: () => unpack(file, archive, entry) })
    at += 46 + nameLength + view.getUint16(at + 30, true) + view.getUint16(at + 32, true)
  }
  return members
}

interface Entry {
  readonly name: string
  readonly locked: boolean
  readonly method: number
  readonly crc: number
  readonly packedSize: number
  readonly size: number
  readonly offset: number
}

function directoryEntry(view: DataView, archive: Uint8Array, at: number, nameLength: number): Entry {
  const flags = view.getUint16(at + 8, true)
  const name = Buffer.from(archive.subarray(at + 46, at + 46 + nameLength))
  return {
    // Bit 11 says UTF-8; many tools write UTF-8 without saying so, and plain letters are the same in both.
    name: name.toString('utf8').replaceAll('\\', '/'),
    locked: (flags & 1) !== 0,
    method: view.getUint16(at + 10, true),
    crc: view.getUint32(at + 16, true),
    packedSize: view.getUint32(at + 20, true),
    size: view.getUint32(at + 24, true),
    offset: view.getUint32(at + 42, true),
  }
}

function unpack(file: string, archive: Uint8Array, entry: Entry): Uint8Array {
  const member = `${file}/${entry.name}`
  if (entry.locked) throw new UserError(`${member} is locked with a password. Save it without one.`)
  if (entry.method !== STORED && entry.method !== DEFLATED)
    throw new UserError(
      `${member} is packed by method ${entry.method}, which is not read. Zip it the usual way.`,
    )
  requireHonestSize(member, entry.packedSize, entry.size)
  const view = new DataView(archive.buffer, archive.byteOffset, archive.byteLength)
  if (entry.offset + 30 > archive.length || view.getUint32(entry.offset, true) !== LOCAL_HEADER)
    throw damaged(member, 'it is not where the archive says')
  const start =
    entry.offset + 30 + view.getUint16(entry.offset + 26, true) + view.getUint16(entry.offset + 28, true)
  const packed = archive.subarray(start, start + entry.packedSize)
  if (packed.length !== entry.packedSize) throw damaged(member, 'it is cut short')
  const bytes = entry.method === STORED ? packed : inflate(member, packed, entry.size)
  if (bytes.length !== entry.size || crc32(bytes) !== entry.crc)
    throw damaged(member, 'its content is other than its check sum says')
  return bytes
}

function inflate(member: string, packed: Uint8Array, size: number): Uint8Array {
  try {
    return inflateRawSync(packed, { maxOutputLength: size + 1 })
  } catch (cause) {
    throw damaged(member, 'it cannot be unpacked, or is larger than the archive says', cause)
  }
}

const damaged = (file: string, how: string, cause?: unknown): UserError =>
  new UserError(`${file} is damaged: ${how}. Export or copy it again.`, { cause })

/** The directory's end record stands last, before a comment of at most 65,535 bytes. */
function endOfDirectory(view: DataView): number | null {
  const first = Math.max(0, view.byteLength - 22 - 65535)
  for (let at = view.byteLength - 22; at >= first; at--)
    if (view.getUint32(at, true) === END_OF_DIRECTORY) return at
  return null
}
