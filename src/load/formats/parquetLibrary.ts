import { createRequire } from 'node:module'
import { Worker } from 'node:worker_threads'
import type { FileMetaData } from 'hyparquet'

/** A piece of the library's work may take this long, and as long again for every 16 MB of file, milliseconds. */
export const PARQUET_PATIENCE = 5_000
const BYTES_PER_PATIENCE = 16 * 1024 * 1024
/** Memory the library may fill, MB. */
const MAX_HEAP_MEGABYTES = 2048

export type ParquetElement = FileMetaData['schema'][number]

export interface ParquetDescription {
  readonly rows: number
  readonly groups: readonly number[]
  readonly columns: readonly ParquetElement[]
  readonly unpackedBytes: number
  readonly leaves: number
}

/**
 * The Parquet library in a thread of its own: a damaged file can send it round for ever or make it ask for all the memory
 * there is, and a thread can be ended. The thread's program is text, so that it needs no file of its own when built.
 */
export class ParquetLibrary {
  private readonly worker: Worker
  private readonly patience: number

  /**
   * @param bytes the file; handed over, and empty here afterwards
   * @param patience see {@link PARQUET_PATIENCE}
   */
  constructor(bytes: ArrayBuffer, patience: number) {
    this.patience = patience * (1 + bytes.byteLength / BYTES_PER_PATIENCE)
    this.worker = new Worker(PROGRAM, {
      eval: true,
      workerData: { bytes, library: createRequire(import.meta.url).resolve('hyparquet') },
      transferList: [bytes],
      resourceLimits: { maxOldGenerationSizeMb: MAX_HEAP_MEGABYTES },
      stderr: true,
      stdout: true,
    })
    // Each question has its own listener; one must always be there, or an error would end the process.
    this.worker.on('error', () => {})
  }

  describe(): Promise<ParquetDescription> {
    return this.ask({}) as Promise<ParquetDescription>
  }

  /** The values of a column in the rows of one group. */
  column(name: string, rowStart: number, rowEnd: number): Promise<readonly unknown[]> {
    return this.ask({ name, rowStart, rowEnd }) as Promise<readonly unknown[]>
  }

  async close(): Promise<void> {
    await this.worker.terminate()
  }

  private ask(question: object): Promise<unknown> {
    const { worker } = this
    return new Promise((resolve, reject) => {
      const timer = setTimeout(() => settle(new Error('it takes too long')), this.patience)
      const settle = (error: Error | null, value?: unknown): void => {
        clearTimeout(timer)
        worker.off('message', onMessage).off('error', settle).off('exit', onExit)
        if (error === null) resolve(value)
        else reject(error)
      }
      const onMessage = ({ error, value }: { error?: string; value?: unknown }): void =>
        settle(error === undefined ? null : new Error(error), value)
      const onExit = (): void => settle(new Error('the thread ended'))
      worker.on('message', onMessage).on('error', settle).on('exit', onExit)
      worker.postMessage(question)
    })
  }
}

const PROGRAM = `
const { parentPort, workerData } = require('node:worker_threads')
const zlib = require('node:zlib')
const { pathToFileURL } = require('node:url')
const file = workerData.bytes
const unpacker = (unpack) => (bytes, size) => unpack(bytes, { maxOutputLength: size + 1 })
const compressors = { GZIP: unpacker(zlib.gunzipSync), BROTLI: unpacker(zlib.brotliDecompressSync) }
if (zlib.zstdDecompressSync) compressors.ZSTD = unpacker(zlib.zstdDecompressSync)
const pad = (n, width) => String(n).padStart(width, '0')
const day = (days) => {
  const date = new Date(days * 86400000)
  return pad(date.getUTCFullYear(), 4) + '-' + pad(date.getUTCMonth() + 1, 2) + '-' + pad(date.getUTCDate(), 2)
}
const moment = (milliseconds) => {
  const text = new Date(Number(milliseconds)).toISOString()
  return text.endsWith('.000Z') ? text.slice(0, -5) : text.slice(0, -1)
}
const parsers = {
  dateFromDays: day,
  timestampFromMilliseconds: moment,
  timestampFromMicroseconds: (micros) => moment(micros / 1000n),
  timestampFromNanoseconds: (nanos) => moment(nanos / 1000000n),
}
let metadata
const answer = async ({ parquetMetadata, parquetSchema, parquetRead }, { name, rowStart, rowEnd }) => {
  if (name === undefined) {
    metadata = parquetMetadata(file)
    const chunks = metadata.row_groups.flatMap((group) => group.columns)
    return {
      rows: Number(metadata.num_rows),
      groups: metadata.row_groups.map((group) => Number(group.num_rows)),
      columns: parquetSchema(metadata).children.map(({ element }) => element),
      unpackedBytes: chunks.reduce((sum, c) => sum + Number(c.meta_data?.total_uncompressed_size ?? 0), 0),
      leaves: metadata.schema.length - 1,
    }
  }
  const values = []
  await parquetRead({
    file, metadata, columns: [name], rowStart, rowEnd, compressors, parsers, geoparquet: false,
    onChunk: ({ columnData, rowStart: first }) => {
      for (let i = 0; i < columnData.length; i++) values[first - rowStart + i] = columnData[i]
    },
  })
  if (values.length !== rowEnd - rowStart) throw new Error('column ' + name + ' has too few values')
  return values
}
parentPort.on('message', async (question) => {
  try {
    parentPort.postMessage({ value: await answer(await import(pathToFileURL(workerData.library)), question) })
  } catch (error) {
    parentPort.postMessage({ error: String(error && error.message || error) })
  }
})
`
