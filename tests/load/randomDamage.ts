/** Whole numbers from a seed (mulberry32), so that a failure can be made again. */
export function numbers(seed: number): (below: number) => number {
  let state = seed >>> 0
  return (below) => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return Math.floor((((t ^ (t >>> 14)) >>> 0) / 4294967296) * below)
  }
}

const LONGEST = 60

/** The bytes flipped, cut, doubled, cut off or stuffed with one of `bits`, in one to `places` places. */
export function mangled(
  whole: Uint8Array,
  next: (below: number) => number,
  bits: readonly string[],
  places: number,
): Uint8Array {
  let bytes = Buffer.from(whole)
  for (let k = next(places); k >= 0; k--) {
    const at = next(bytes.length + 1)
    const to = Math.min(bytes.length, at + next(LONGEST))
    const how = next(5)
    if (how === 0 && bytes.length > 0) bytes[at % bytes.length] = next(256)
    else if (how === 1) bytes = Buffer.concat([bytes.subarray(0, at), bytes.subarray(to)])
    else if (how === 2) bytes = Buffer.concat([bytes.subarray(0, to), bytes.subarray(at)])
    else if (how === 3) bytes = bytes.subarray(0, at)
    else {
      const stuffing = Buffer.from(bits[next(bits.length)] as string)
      bytes = Buffer.concat([bytes.subarray(0, at), stuffing, bytes.subarray(at)])
    }
  }
  return new Uint8Array(bytes)
}
