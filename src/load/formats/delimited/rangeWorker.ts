import { parentPort, workerData } from 'node:worker_threads'
import type { ThreadMessage } from '../../thread.ts'
import { type RangeTask, readRange } from './range.ts'
import type { Part } from './tableOfRecords.ts'

/** A thread that reads one range of a file. It answers with the part, or with null where its range does not end on a record's end. */
const say = (message: ThreadMessage<Part | null>, taken: ArrayBuffer[]): void =>
  parentPort?.postMessage(message, taken)

const part = readRange(workerData as RangeTask, (bytes) => say({ bytes }, []))
say(
  { answer: part },
  part === null
    ? []
    : part.columns.flatMap(({ codes, packed }) => [
        codes.buffer as ArrayBuffer,
        packed.bytes.buffer as ArrayBuffer,
        packed.ends.buffer as ArrayBuffer,
        packed.hashes.buffer as ArrayBuffer,
      ]),
)
