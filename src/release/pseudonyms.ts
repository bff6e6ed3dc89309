import { createHmac, randomBytes } from 'node:crypto'

/** 32 letters that are hard to confuse when read aloud (Crockford's base 32, without I, L, O and U). */
const ALPHABET = '0123456789ABCDEFGHJKMNPQRSTVWXYZ'
const LETTERS = 12
const PATTERN = `[${ALPHABET}]{${LETTERS}}`
export const PERSON_PATTERN = `P${PATTERN}`
export const RATER_PATTERN = `R${PATTERN}`
const SECRET_BYTES = 32

/** A fresh secret: pseudonyms made with it cannot be made again once it is forgotten. */
export const newSecret = (): Uint8Array => randomBytes(SECRET_BYTES)

/**
 * A keyed pseudonym: HMAC-SHA-256 (RFC 2104, FIPS 198-1) of purpose and id under the secret, its first 60 bits as 12
 * letters. Without the secret nobody can make or check one, which a plain hash of a short code would allow.
 */
export function pseudonym(secret: Uint8Array, purpose: 'person' | 'rater', id: string): string {
  const digest = createHmac('sha256', secret)
    .update(JSON.stringify([purpose, id]))
    .digest()
  let bits = 0n
  for (const byte of digest.subarray(0, 8)) bits = (bits << 8n) | BigInt(byte)
  let letters = ''
  for (let i = 0; i < LETTERS; i++) letters = ALPHABET[Number((bits >> BigInt(4 + 5 * i)) & 31n)] + letters
  return (purpose === 'person' ? 'P' : 'R') + letters
}

/**
 * Pseudonyms of many ids.
 * @throws Error when two ids share one (odds of about one in two million for a million people): nothing may leave then
 */
export function pseudonyms(
  secret: Uint8Array,
  purpose: 'person' | 'rater',
  ids: Iterable<string>,
): ReadonlyMap<string, string> {
  const out = new Map([...new Set(ids)].map((id) => [id, pseudonym(secret, purpose, id)] as const))
  if (new Set(out.values()).size !== out.size)
    throw new Error('Two ids share a pseudonym under this secret. Use another secret.')
  return out
}
