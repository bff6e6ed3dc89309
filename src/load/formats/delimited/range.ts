import { closeSync, openSync, readSync } from 'node:fs'
import type { TableRules } from '../../guide/guide.ts'
import type { Layout } from './sniff.ts'
import { type Part, TableOfRecords } from './tableOfRecords.ts'

const PIECE_BYTES = 1024 * 1024
const LINE_FEED = 10

/** A range of a file to be read: from the beginning of a record to where the next range begins. */
export interface RangeTask {
  readonly path: string
  readonly file: string
  readonly from: number
  readonly to: number
  /** Whether the heading row and the titles above it lie in this range. */
  readonly first: boolean
  /** Whether the file ends with this range. */
  readonly last: boolean
  readonly layout: Layout
  readonly rules: TableRules
  readonly recordBytes: number
}

/**
 * The records that begin in a range, or null where no record ends at its end: then a line feed within quotes was taken for
 * the end of a record, and ranges cannot be told apart that way.
 *
 * @param onBytes told of every piece how many bytes it has
 */
export function readRange(task: RangeTask, onBytes: (bytes: number) => void = () => {}): Part | null {
  const { file, layout, rules, recordBytes, from, to, last } = task
  const table = new TableOfRecords(file, layout, rules, recordBytes)
  if (!task.first) table.passOverNothing()
  const descriptor = openSync(task.path, 'r')
  try {
    let buffer = new Uint8Array(2 * PIECE_BYTES + 1)
    let held = 0
    let position = from
    for (;;) {
      if (held + PIECE_BYTES + 1 > buffer.length) {
        const grown = new Uint8Array(buffer.length * 2)
        grown.set(buffer.subarray(0, held))
        buffer = grown
      }
      const count = readSync(descriptor, buffer, held, PIECE_BYTES, position + held)
      const end = held + count
      onBytes(count)
      buffer[end] = LINE_FEED
      const rest = table.take(buffer, end, count === 0, last ? Number.POSITIVE_INFINITY : to - position)
      if (position === from) table.expect(Math.ceil((table.records / Math.max(1, rest)) * (to - from) * 1.05))
      position += rest
      if (!last && position >= to) return position === to && table.isBetweenRecords ? table.part() : null
      if (count === 0) return last ? table.part() : null
      buffer.copyWithin(0, rest, end)
      held = end - rest
    }
  } finally {
    closeSync(descriptor)
  }
}
