import { open, stat } from 'node:fs/promises'
import { availableParallelism } from 'node:os'
import type { TableRules } from '../../guide/guide.ts'
import { inThread } from '../../thread.ts'
import { changedWhileRead } from '../source.ts'
import type { RangeTask } from './range.ts'
import type { Layout } from './sniff.ts'
import type { Part } from './tableOfRecords.ts'

/** Files from this size on are read by several threads: below it, starting them costs more than they save. */
export const THREADED_BYTES = 16 * 1024 * 1024
const FEWEST_BYTES = 8 * 1024 * 1024
const MOST_THREADS = 8
const LINE_FEED = 10

/** A file on disk and how it is laid out. */
export interface RangedFile {
  readonly path: string
  readonly file: string
  readonly layout: Layout
  readonly rules: TableRules
  readonly recordBytes: number
}

/** Reads one range, here or in a thread of its own. */
export type RangeReader = (task: RangeTask, onBytes: (bytes: number) => void) => Promise<Part | null>

/** How many threads read a file of so many bytes. */
export const threadsFor = (bytes: number): number =>
  Math.min(MOST_THREADS, availableParallelism(), Math.floor(bytes / FEWEST_BYTES))

/**
 * Reads ranges of a file at once, one thread each. Ranges begin after a line feed; each thread says whether it ended exactly
 * where the next began, so a line feed within quotes is found out.
 *
 * @param onBytes told of every piece, of whatever range, how many bytes it has
 * @returns the parts in order, or null where the file cannot be read that way: then it is read in one go
 * @throws UserError where the file changed meanwhile
 */
export async function readRanges(
  ranged: RangedFile,
  threads: number,
  onBytes: (bytes: number) => void,
  read: RangeReader = readInThread,
): Promise<Part[] | null> {
  const before = await stat(ranged.path, { bigint: true })
  const edges = await edgesOf(ranged.path, Number(before.size), threads)
  if (edges.length < 3) return null
  const parts = await Promise.all(
    edges.slice(0, -1).map((from, k) =>
      read(
        {
          ...ranged,
          from,
          to: edges[k + 1]!,
          first: k === 0,
          last: k === edges.length - 2,
        },
        onBytes,
      ),
    ),
  ).catch(() => null)
  const after = await stat(ranged.path, { bigint: true })
  if (after.size !== before.size || after.mtimeNs !== before.mtimeNs) throw changedWhileRead(ranged.file)
  return parts?.every((part) => part !== null) ? parts : null
}

/** Beginnings of the ranges, and the end of the file. */
async function edgesOf(path: string, size: number, threads: number): Promise<number[]> {
  const handle = await open(path, 'r')
  try {
    const edges = [0]
    const piece = new Uint8Array(1 << 16)
    for (let k = 1; k < threads; k++) {
      const at = Math.floor((size * k) / threads)
      const { bytesRead } = await handle.read(piece, 0, piece.length, at)
      const found = piece.subarray(0, bytesRead).indexOf(LINE_FEED)
      if (found >= 0 && at + found + 1 < size && at + found + 1 > edges.at(-1)!) edges.push(at + found + 1)
    }
    return [...edges, size]
  } finally {
    await handle.close()
  }
}

const readInThread: RangeReader = (task, onBytes) => inThread(import.meta.url, 'rangeWorker', task, onBytes)
