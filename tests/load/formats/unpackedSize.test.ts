import { describe, expect, it } from 'vitest'
import { requireHonestSize } from '../../../src/load/formats/gzip.ts'
import {
  FREE_UNPACKED_BYTES,
  MAX_UNPACK_RATIO,
  MAX_UNPACKED_BYTES,
} from '../../../src/load/formats/limits.ts'

describe('what a packed file may unpack to', () => {
  const size = (packed: number, unpacked: number) => () => requireHonestSize('a.gz', packed, unpacked)

  it('is the most that is read, and not a byte more, however little it was packed', () => {
    size(MAX_UNPACKED_BYTES, MAX_UNPACKED_BYTES)()
    expect(size(MAX_UNPACKED_BYTES, MAX_UNPACKED_BYTES + 1)).toThrow(
      /a\.gz unpacks to more than \d+ bytes, the most/,
    )
  })

  it('is any number of times its size while it is small, and then no more than exports come to', () => {
    size(1, FREE_UNPACKED_BYTES)()
    expect(size(1, FREE_UNPACKED_BYTES + 1)).toThrow(/times its size/)
    const packed = Math.ceil((FREE_UNPACKED_BYTES + 1) / MAX_UNPACK_RATIO)
    size(packed, packed * MAX_UNPACK_RATIO)()
    expect(size(packed, packed * MAX_UNPACK_RATIO + 1)).toThrow(/times its size/)
  })
})
