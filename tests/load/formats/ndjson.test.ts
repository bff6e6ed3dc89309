import { describe, expect, it } from 'vitest'
import { MAX_JSON_RECORD_BYTES } from '../../../src/load/formats/limits.ts'
import { readNdjson } from '../../../src/load/formats/ndjson.ts'
import { inPieces, repeated, rowsOf, textSource } from './support.ts'

const one = async (text: string) => (await readNdjson(textSource('log.ndjson', text)))[0]!

describe('readNdjson', () => {
  it('numbers lines that are not blank and knows the physical line of each', async () => {
    const table = await one('\n{"a":1}\r\n\n  \n\ufeff\n{"a":2}\n\ufeff{"a":3}')
    expect(rowsOf(table)).toEqual([{ a: '1' }, { a: '2' }, { a: '3' }])
    expect([0, 1, 2].map(table.lineOf!)).toEqual([2, 6, 7])
  })

  it('a line that is not whole JSON is ragged, with the beginning of its text', async () => {
    const broken = `{"note":"${'x'.repeat(300)}`
    const table = await one(`{"a":1}\n${broken}\n[1]\n{"a":2}`)
    expect([...table.ragged]).toEqual([
      [1, broken.slice(0, 200)],
      [2, '[1]'],
    ])
    expect(table.length).toBe(4)
  })

  it('a file of broken lines only is a table of ragged records', async () => {
    const table = await one('x\ny')
    expect([...table.ragged]).toEqual([
      [0, 'x'],
      [1, 'y'],
    ])
    expect(table.length).toBe(2)
  })

  it('does not care where a piece ends', async () => {
    const bytes = Buffer.from('{"a":"é"}\r\n\r\n{"a":"😀"}\nx\n{"b":1}')
    const whole = (await readNdjson(inPieces('x', bytes, 1000)))[0]!
    for (let size = 1; size <= bytes.length; size++) {
      const table = (await readNdjson(inPieces('x', bytes, size)))[0]!
      expect(rowsOf(table)).toEqual(rowsOf(whole))
      expect([...table.ragged]).toEqual([[2, 'x']])
    }
  })

  it('passes over a line past the limit without holding it', async () => {
    const megabyte = Buffer.alloc(1024 * 1024, 'x')
    const source = {
      file: 'log.ndjson',
      chunks: async function* () {
        yield Buffer.from('{"a":1}\n')
        yield* repeated('', megabyte, (4 * MAX_JSON_RECORD_BYTES) / megabyte.length).chunks()
        yield Buffer.from('\n{"a":2}\n')
      },
    }
    const before = process.memoryUsage().rss
    const table = (await readNdjson(source))[0]!
    expect([...table.ragged.keys()]).toEqual([1])
    expect(table.length).toBe(3)
    expect((process.memoryUsage().rss - before) / 1e6).toBeLessThan(200)
  })
})
