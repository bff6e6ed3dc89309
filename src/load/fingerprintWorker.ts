import { createHash } from 'node:crypto'
import { closeSync, openSync, readSync } from 'node:fs'
import { parentPort, workerData } from 'node:worker_threads'
import type { ThreadMessage } from './thread.ts'

/** The SHA-256 of a file and how many bytes it is of. */
export interface Fingerprint {
  readonly sha256: string
  readonly bytes: number
}

const hash = createHash('sha256')
const descriptor = openSync(workerData as string, 'r')
const piece = new Uint8Array(1024 * 1024)
let bytes = 0
for (let count = 1; count > 0; bytes += count) {
  count = readSync(descriptor, piece, 0, piece.length, null)
  hash.update(piece.subarray(0, count))
}
closeSync(descriptor)
parentPort?.postMessage({
  answer: { sha256: hash.digest('hex'), bytes },
} satisfies ThreadMessage<Fingerprint>)
