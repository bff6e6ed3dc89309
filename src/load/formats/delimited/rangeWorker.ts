import { parentPort, workerData } from 'node:worker_threads'
import { type RangeTask, readRange } from './range.ts'

/** A thread that reads one range of a file. It answers with the part, or with null where its range does not end on a record's end. */
const part = readRange(workerData as RangeTask)
parentPort?.postMessage(
  part,
  part === null
    ? []
    : part.columns.flatMap(({ codes, packed }) => [
        codes.buffer as ArrayBuffer,
        packed.bytes.buffer as ArrayBuffer,
        packed.ends.buffer as ArrayBuffer,
        packed.hashes.buffer as ArrayBuffer,
      ]),
)
