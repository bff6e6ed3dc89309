import { parquetWriteBuffer } from 'hyparquet-writer'
import { describe, expect, it } from 'vitest'
import { UserError } from '../../../src/errors.ts'
import { readParquet } from '../../../src/load/formats/parquet.ts'
import { memorySource } from '../../../src/load/formats/source.ts'
import { rowsOf } from './support.ts'

type Columns = Parameters<typeof parquetWriteBuffer>[0]['columnData']
const write = (columnData: Columns, more: object = {}) =>
  new Uint8Array(parquetWriteBuffer({ columnData, ...more }))
const read = async (bytes: Uint8Array, patience = 20_000) =>
  (await readParquet(memorySource('log.parquet', bytes), { patience }))[0]!

describe('readParquet', () => {
  it('gives every type as the text a person would write', async () => {
    const table = await read(
      write([
        { name: 'client', data: ['a', 'b', null], type: 'STRING' },
        { name: 'reps', data: [12, null, 3], type: 'INT32' },
        { name: 'id', data: [9007199254740993n, 1n, 2n], type: 'INT64' },
        { name: 'minutes', data: [0.1, 1.5, 2], type: 'DOUBLE' },
        { name: 'level', data: [0.1, 2.5, 3], type: 'FLOAT' },
        { name: 'done', data: [true, false, null], type: 'BOOLEAN' },
        { name: 'on', data: [new Date('2026-03-31T23:40:00Z'), null, null], type: 'TIMESTAMP' },
        { name: 'dose', data: [{ reps: 3, by: 'family' }, null, { reps: null }] },
      ]),
    )
    expect(rowsOf(table)).toEqual([
      {
        client: 'a',
        reps: '12',
        id: '9007199254740993',
        minutes: '0.1',
        level: '0.1',
        done: 'true',
        on: expect.stringMatching(/^2026-03-31T23:40:00Z?$/),
        'dose.reps': '3',
        'dose.by': 'family',
      },
      { client: 'b', id: '1', minutes: '1.5', level: '2.5', done: 'false' },
      { reps: '3', id: '2', minutes: '2', level: '3' },
    ])
  })

  it('gives dates as dates whatever the time zone', async () => {
    const schema = [
      { name: 'root', num_children: 1 },
      { name: 'on', type: 'INT32', converted_type: 'DATE', repetition_type: 'OPTIONAL' },
    ]
    const table = await read(write([{ name: 'on', data: [new Date('2026-03-31'), null] }], { schema }))
    expect(rowsOf(table)).toEqual([{ on: '2026-03-31' }, {}])
  })

  it('reads several row groups in order', async () => {
    const data = Array.from({ length: 1000 }, (_, i) => `c${i}`)
    const table = await read(write([{ name: 'client', data }], { rowGroupSize: 300 }))
    expect(rowsOf(table).map(({ client }) => client)).toEqual(data)
  })

  it('a damaged file is a UserError or has all its rows, never an endless read', async () => {
    const bytes = write([
      { name: 'client', data: Array.from({ length: 50 }, (_, i) => `c${i}`) },
      { name: 'reps', data: Array.from({ length: 50 }, (_, i) => i), type: 'INT32' },
    ])
    for (let cut = 0; cut < bytes.length; cut += 61)
      await expect(read(bytes.subarray(0, cut))).rejects.toThrow(UserError)
    for (let at = 0; at < bytes.length; at += 9) {
      const spoilt = bytes.slice()
      spoilt[at]! ^= 0xff
      try {
        expect((await read(spoilt, 1000)).length).toBe(50)
      } catch (error) {
        expect(error).toBeInstanceOf(UserError)
      }
    }
  })

  // Byte 257 of this file is the length of a list in its footer: the library went round 4,000 million times.
  it('ends the library where a damaged footer would send it round for ever', async () => {
    const spoilt = write([
      { name: 'client', data: Array.from({ length: 50 }, (_, i) => `c${i}`) },
      { name: 'reps', data: Array.from({ length: 50 }, (_, i) => i), type: 'INT32' },
    ])
    spoilt[257]! ^= 0xff
    await expect(read(spoilt, 300)).rejects.toThrow(UserError)
  })
})
