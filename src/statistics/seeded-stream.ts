import { createHash } from 'node:crypto'
import normal from '@stdlib/stats-base-dists-normal'
import { CannotEstimate } from './shared.ts'

/** A stream of random numbers that one seed and one key determine wholly. */
export interface RandomStream {
  /** A whole number from 0 to 2^32 - 1. */
  word(): number
  /** A number in the open interval (0, 1), a multiple of 2^-53. */
  uniform(): number
  /** A whole number from 0 to `bound` - 1, every one equally likely (no modulo bias). */
  below(bound: number): number
  /** A standard normal number, by inversion of the normal distribution function. */
  normal(): number
  /** Puts the elements of an array or typed array in random order, in place (Fisher-Yates), and returns it. */
  shuffle<T extends { readonly length: number; [index: number]: unknown }>(items: T): T
}

/** The four 32-bit words that seed a stream: the first 128 bits of SHA-256 over the seed and the key. */
function stateOf(seed: number | string, key: readonly (string | number)[]): [number, number, number, number] {
  // JSON keeps ['a', 'bc'] and ['ab', 'c'] apart, and 1 apart from '1'.
  const digest = createHash('sha256')
    .update(JSON.stringify([seed, ...key]))
    .digest()
  return [digest.readUInt32LE(0), digest.readUInt32LE(4), digest.readUInt32LE(8), digest.readUInt32LE(12)]
}

/**
 * The generator xoshiro128** 1.1 from four 32-bit words that are not all zero.
 * Source: Blackman and Vigna (2021) Scrambled linear pseudorandom number generators, ACM TOMS 47(4):36;
 * checked against the output of their reference program.
 */
export function xoshiro128(state: readonly [number, number, number, number]): () => number {
  let [a, b, c, d] = state
  return () => {
    const scrambled = Math.imul(b, 5)
    const result = Math.imul((scrambled << 7) | (scrambled >>> 25), 9)
    const shifted = b << 9
    c ^= a
    d ^= b
    b ^= c
    a ^= d
    c ^= shifted
    d = (d << 11) | (d >>> 21)
    return result >>> 0
  }
}

const TWO_32 = 2 ** 32
/** Up to here word * bound is exact in a double. */
const EXACT_BOUND = 2 ** 21

function belowFrom(word: () => number, bound: number): number {
  if (!(Number.isInteger(bound) && bound >= 1 && bound <= TWO_32))
    throw new CannotEstimate('RandomStream.below', 'a whole bound from 1 to 2^32', String(bound))
  if (bound > EXACT_BOUND) {
    const limit = TWO_32 - (TWO_32 % bound)
    let draw = word()
    while (draw >= limit) draw = word()
    return draw % bound
  }
  // Lemire (2019) Fast random integer generation in an interval, ACM TOMACS 29(1):3.
  let product = word() * bound
  let high = Math.floor(product / TWO_32)
  let low = product - high * TWO_32
  if (low < bound) {
    const threshold = TWO_32 % bound
    while (low < threshold) {
      product = word() * bound
      high = Math.floor(product / TWO_32)
      low = product - high * TWO_32
    }
  }
  return high
}

/**
 * A stream of random numbers that depends on nothing but `seed` and `key`: the same on every machine, and the same
 * in whatever order, or however often, other streams are opened. Give each use its own key, such as
 * `seededStream(2024, ['bootstrap', 'moro', 'left'])`.
 *
 * The state is SHA-256 of seed and key (so that near keys give unrelated streams), the generator xoshiro128**
 * ({@link xoshiro128}). Integer arithmetic and inversion only, so no platform's mathematics library has a say.
 * Not for secrets.
 */
export function seededStream(
  seed: number | string,
  key: string | number | readonly (string | number)[],
): RandomStream {
  const parts = typeof key === 'string' || typeof key === 'number' ? [key] : key
  if (typeof seed === 'number' && !Number.isFinite(seed))
    throw new CannotEstimate('seededStream', 'a finite seed', String(seed))
  const word = xoshiro128(stateOf(seed, parts))
  const below = (bound: number) => belowFrom(word, bound)
  const uniform = () => {
    let draw = 0
    while (draw === 0) draw = ((word() >>> 5) * 67108864 + (word() >>> 6)) / 9007199254740992
    return draw
  }
  return {
    word,
    uniform,
    below,
    normal: () => normal.quantile(uniform(), 0, 1),
    shuffle: (items) => {
      for (let i = items.length - 1; i > 0; i--) {
        const j = below(i + 1)
        const kept = items[i]
        items[i] = items[j]
        items[j] = kept
      }
      return items
    },
  }
}
