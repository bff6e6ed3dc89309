import { describe, expect, it } from 'vitest'
import { readJson } from '../../../src/load/formats/json.ts'
import { MAX_JSON_DEPTH, MAX_JSON_RECORD_BYTES } from '../../../src/load/formats/limits.ts'
import { inPieces, repeated, rowsOf, textSource } from './support.ts'

const read = (text: string) => readJson(textSource('log.json', text))
const one = async (text: string) => {
  const tables = await read(text)
  expect(tables).toHaveLength(1)
  return tables[0]!
}

describe('readJson', () => {
  it('reads a list of nested objects under dotted paths; null and missing are empty', async () => {
    const table = await one('[{"a":{"b":1,"c":null}},{"a":{"b":"2"},"d":true},{}]')
    expect(table.headings).toEqual(['a.b', 'a.c', 'd'])
    expect(rowsOf(table)).toEqual([{ 'a.b': '1' }, { 'a.b': '2', d: 'true' }, {}])
    expect(table.recordOf).toBeUndefined()
  })

  it('joins plain lists and numbers the objects of a list within an entry', async () => {
    const table = await one('[{"cautions":["skin","shunt"],"sets":[{"reps":3},{"reps":4}]}]')
    expect(rowsOf(table)).toEqual([{ cautions: 'skin; shunt', 'sets.0.reps': '3', 'sets.1.reps': '4' }])
  })

  it('finds the list in an object; what stands around it holds for every entry', async () => {
    const table = await one(
      '{"client":"SM-1","app":{"v":2},"sessions":[{"reps":1},{"reps":2}],"site":"Heron"}',
    )
    expect(rowsOf(table)).toEqual([
      { reps: '1', client: 'SM-1', 'app.v': '2', site: 'Heron' },
      { reps: '2', client: 'SM-1', 'app.v': '2', site: 'Heron' },
    ])
  })

  it('reads a list of lists under the headings in its first row; a row of another shape is ragged', async () => {
    const table = await one(
      '[["Client ID","Reps"],["SM-1",5],\n["SM-2",null],[null,""],["SM-3"],{"Reps":1},["SM-4",[1]],["SM-5",12345678901234567890]',
    )
    expect(rowsOf(table)).toEqual([
      { 'Client ID': 'SM-1', Reps: '5' },
      { 'Client ID': 'SM-2' },
      {},
      {},
      {},
      {},
    ])
    // The last row is cut short: nobody can know what else it held.
    expect([...table.ragged.keys()]).toEqual([2, 3, 4, 5])
    expect(table.lineOf!(1)).toBe(2)
  })

  it('reads rows beside their headings, and a list for each column', async () => {
    const rows = [{ id: 'a', n: '1' }, { id: 'b' }]
    expect(rowsOf(await one('{"columns":["id","n"],"data":[["a",1],["b",null]]}'))).toEqual(rows)
    expect(rowsOf(await one('{"id":["a","b"],"n":[1,null]}'))).toEqual(rows)
    const named = await one('{"site":"Heron","headings":["id","n"],"rows":[["a",1]]}')
    expect(rowsOf(named)).toEqual([{ id: 'a', n: '1', site: 'Heron' }])
  })

  it('takes no table for certain where lists differ in length or the first row may be a record', async () => {
    expect(rowsOf(await one('{"id":["a","b"],"tags":["x"]}'))).toEqual([{ id: 'a; b', tags: 'x' }])
    const unheaded = await one('[["SM-1",5],["SM-2",6]]')
    expect([...unheaded.ragged.keys()]).toEqual([0, 1])
  })

  it('makes a table of each list, named as sheets are', async () => {
    const tables = await read('{"clients":[{"id":"a"}],"export":{"scores":[{"s":1},{"s":2}]}}')
    expect(tables.map(({ file, length }) => [file, length])).toEqual([
      ['log.json#clients', 1],
      ['log.json#export.scores', 2],
    ])
  })

  it('takes an object without a list for one record, and nothing for none', async () => {
    expect(rowsOf(await one('{"a":1,"tags":["x","y"]}'))).toEqual([{ a: '1', tags: 'x; y' }])
    expect((await one('[]')).length).toBe(0)
    expect((await one('')).length).toBe(0)
    expect((await one(' \n')).length).toBe(0)
  })

  it('keeps every digit of a long number, and the text of one that a double cannot hold', async () => {
    const table = await one('[{"id":12345678901234567890,"n":1e400,"note":"12345678901234567890 \\"e9\\""}]')
    expect(rowsOf(table)).toEqual([
      { id: '12345678901234567890', n: '1e400', note: '12345678901234567890 "e9"' },
    ])
  })

  it('brings back as ragged what is no object or not whole, and keeps the rest', async () => {
    const table = await one('[{"a":1},{"a":},7,{"a":2},null,{"a":3}}]')
    expect([...table.ragged]).toEqual([
      [1, '{"a":}'],
      [2, '7'],
      [4, 'null'],
      [5, '{"a":3}}'],
    ])
    expect(rowsOf(table)).toEqual([{ a: '1' }, {}, {}, { a: '2' }, {}, {}])
  })

  it('does not choose between two values of one key', async () => {
    const table = await one('[{"reps":1,"reps":2},{"a":{"b":1},"a.b":2},{ "reps" : 3 }]')
    expect([...table.ragged.keys()]).toEqual([0, 1])
    expect(rowsOf(table)[2]).toEqual({ reps: '3' })
  })

  it('a file cut anywhere keeps every entry before the cut and says that it is cut', async () => {
    const whole = '{"x":1,"list":[{"a":1,"t":"], {"},{"a":2,"t":"\\"}"}]}'
    const starts = [whole.indexOf('{"a":1'), whole.indexOf('{"a":2')]
    for (let cut = whole.indexOf('[') + 2; cut < whole.length - 1; cut++) {
      const table = await one(whole.slice(0, cut))
      const begun = starts.filter((start) => start < cut).length
      expect(table.ragged.size, whole.slice(0, cut)).toBe(1)
      const ends = [whole.indexOf(',{"a":2'), whole.indexOf(']}')]
      const complete = ends.filter((end) => end < cut).length
      expect(table.length - table.ragged.size).toBe(complete)
      expect(table.length).toBe(complete === begun ? begun + 1 : begun)
    }
  })

  it('does not care where a piece ends', async () => {
    const text = '{"m":{"é":"日本"},"list":[ {"a":"x\\\\\\"]","b":[1,2]} ,\n{"a":"😀"},\n3 ]}'
    const bytes = Buffer.from(text)
    const whole = await readJson(inPieces('log.json', bytes, bytes.length))
    for (let size = 1; size < bytes.length; size++) {
      const [table] = await readJson(inPieces('log.json', bytes, size))
      expect(rowsOf(table!)).toEqual(rowsOf(whole[0]!))
      expect([...table!.ragged]).toEqual([[2, '3']])
      expect([0, 1, 2].map(table!.lineOf!)).toEqual([1, 2, 3])
    }
  })

  it('reads UTF-16 by its mark, and what is not UTF-8 as Windows-1252, saying so', async () => {
    const text = '[{"n":"é’"}]'
    const wide = Buffer.concat([Buffer.from([0xff, 0xfe]), Buffer.from(text, 'utf16le')])
    for (const size of [1, 3, wide.length]) {
      const [table] = await readJson(inPieces('log.json', wide, size))
      expect(rowsOf(table!)).toEqual([{ n: 'é’' }])
    }
    const old = Buffer.concat([Buffer.from('[{"n":"'), Buffer.from([0xe9, 0x92]), Buffer.from('"}]')])
    const [table] = await readJson(inPieces('log.json', old, 100))
    expect(rowsOf(table!)).toEqual([{ n: 'é’' }])
    expect(table!.remarks.join()).toContain('Windows-1252')
  })

  it('brings back a record that is too deep as ragged, at any depth', async () => {
    const deep = (depth: number) => `${'{"a":'.repeat(depth)}1${'}'.repeat(depth)}`
    for (const depth of [MAX_JSON_DEPTH + 2, 100_000]) {
      const table = await one(`[${deep(depth)},{"a":1}]`)
      expect([...table.ragged.keys()]).toEqual([0])
      expect(rowsOf(table)[1]).toEqual({ a: '1' })
    }
    expect((await one(`[${deep(MAX_JSON_DEPTH - 2)}]`)).ragged.size).toBe(0)
    expect((await one('['.repeat(1_000_000))).ragged.size).toBe(1)
  })

  it('reads long strings full of escapes, whose length patterns would not bear', async () => {
    const table = await one(
      `[{"id":12345678901234567890,"a":"${'\\n'.repeat(1_000_000)}", "b":"\\\\" , "c" : "\\"" }]`,
    )
    expect(table.ragged.size).toBe(0)
    const [row] = rowsOf(table)
    expect([row!.id, row!.a!.length, row!.b, row!.c]).toEqual(['12345678901234567890', 1_000_000, '\\', '"'])
  })

  // Written out again, the second a is gone and the number longer by as much: lengths alone would not tell.
  it('sees a repeated key behind a number of another length', async () => {
    expect((await one('[{"b":1e9,"a":1,"a":1}]')).ragged.size).toBe(1)
  })

  it('passes over an entry past the limit without holding it', async () => {
    const megabyte = Buffer.alloc(1024 * 1024, 'x')
    const source = {
      file: 'log.json',
      chunks: async function* () {
        yield Buffer.from('[{"a":"')
        yield* repeated('', megabyte, MAX_JSON_RECORD_BYTES / megabyte.length + 1).chunks()
        yield Buffer.from('"},{"a":1}]')
      },
    }
    const [table] = await readJson(source)
    expect([...table!.ragged.keys()]).toEqual([0])
    expect(rowsOf(table!)[1]).toEqual({ a: '1' })
  })

  it('a record with more columns than are read is ragged, and NULs and odd keys are only text', async () => {
    const many = `{${Array.from({ length: 5000 }, (_, i) => `"k${i}":1`).join()}}`
    const table = await one(`[${many},{"k0":"\\u0000","__proto__":{"x":"1"},"constructor":"2"}]`)
    expect([...table.ragged.keys()]).toEqual([0])
    expect(table.length).toBe(2)
    const odd = await one('[{"k0":"\\u0000","__proto__":{"x":"1"},"constructor":"2"}]')
    expect(Object.entries(rowsOf(odd)[0]!)).toEqual([
      ['k0', '\u0000'],
      ['__proto__.x', '1'],
      ['constructor', '2'],
    ])
  })
})
