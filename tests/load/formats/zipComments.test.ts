import { strToU8, zipSync } from 'fflate'
import { expect, it } from 'vitest'
import { zipMembers } from '../../../src/load/formats/zip.ts'

// PKWARE's APPNOTE 6.3, 4.3.12: a directory entry is 46 bytes, the name, extra fields, a comment; 4.3.16: the archive's own comment is last.
it.each([
  ['no comment', {}],
  ['comments', { comment: 'as the diary came in, page 2' }],
  ['extra fields', { extra: { 21589: new Uint8Array(300) } }],
  ['both', { comment: 'x'.repeat(700), extra: { 28789: new Uint8Array(9) } }],
])('an archive whose members have %s is read to its last member', (_, how) => {
  const archive = zipSync({
    'a.csv': [strToU8('one'), how],
    'b/c.csv': [strToU8('two'), how],
    'd.csv': [strToU8('three'), how],
  })
  expect(zipMembers('z.zip', archive).map((m) => [m.name, Buffer.from(m.bytes()).toString()])).toEqual([
    ['a.csv', 'one'],
    ['b/c.csv', 'two'],
    ['d.csv', 'three'],
  ])
})

it.each([1, 65_535])('and one with a comment of %i bytes of its own', (length) => {
  const plain = zipSync({ 'a.csv': strToU8('one') })
  const archive = new Uint8Array(plain.length + length)
  archive.set(plain)
  new DataView(archive.buffer).setUint16(plain.length - 2, length, true)
  expect(zipMembers('z.zip', archive).map((m) => Buffer.from(m.bytes()).toString())).toEqual(['one'])
})
