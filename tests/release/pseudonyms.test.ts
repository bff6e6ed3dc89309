import { createHmac } from 'node:crypto'
import { describe, expect, it } from 'vitest'
import { newSecret, pseudonym, pseudonyms } from '../../src/release/pseudonyms.ts'

describe('pseudonyms', () => {
  const secret = new Uint8Array(32).fill(7)

  it('are the first 60 bits of an HMAC-SHA-256 (RFC 2104), in Crockford base 32', () => {
    // Independent road: the digest as hex, cut into 5-bit groups as text.
    const hex = createHmac('sha256', Buffer.alloc(32, 7))
      .update('["person","SM-0042"]')
      .digest('hex')
      .slice(0, 15)
    const binary = [...hex].map((h) => Number.parseInt(h, 16).toString(2).padStart(4, '0')).join('')
    const letters = binary
      .match(/.{5}/g)!
      .map((b) => '0123456789ABCDEFGHJKMNPQRSTVWXYZ'[Number.parseInt(b, 2)])
    expect(pseudonym(secret, 'person', 'SM-0042')).toBe(`P${letters.join('')}`)
  })

  it('stay the same under one secret and differ under another', () => {
    expect(pseudonym(secret, 'person', 'a')).toBe(pseudonym(secret, 'person', 'a'))
    expect(pseudonym(newSecret(), 'person', 'a')).not.toBe(pseudonym(secret, 'person', 'a'))
  })

  it('do not tie a rater to a person of the same id', () => {
    expect(pseudonym(secret, 'rater', 'a').slice(1)).not.toBe(pseudonym(secret, 'person', 'a').slice(1))
  })

  it('are all different over 20,000 ids', () => {
    const ids = Array.from({ length: 20_000 }, (_, i) => `SM-${i}`)
    expect(new Set(pseudonyms(secret, 'person', ids).values()).size).toBe(20_000)
  })
})
