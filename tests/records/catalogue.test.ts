import { readFileSync } from 'node:fs'
import { fromCSV } from 'arquero'
import { describe, expect, it } from 'vitest'
import { CATALOGUE, isMidline, REFLEXES, type Reflex, upperAgeMonths } from '../../src/records/index.ts'

/** data/reflex-ages.csv was put together from the sources that it names, apart from this code. */
const rows = fromCSV(readFileSync(new URL('data/reflex-ages.csv', import.meta.url), 'utf8'), {
  autoType: false,
}).objects() as { reflex: string; usually_gone_by_months: string; source: string; how_known: string }[]

/** The data names a book in full once. */
const author = (source: string): string => source.split(/[ ,]/)[0]!

describe('the reflex catalogue', () => {
  it('keeps the range of every source, under its name', () => {
    const kept = REFLEXES.flatMap((reflex) =>
      CATALOGUE[reflex].ages.map((a) => [
        reflex,
        a.fromMonths === a.toMonths ? `${a.toMonths}` : `${a.fromMonths}-${a.toMonths}`,
        author(a.source),
        a.howKnown,
      ]),
    )
    const stated = rows.map((r) => [r.reflex, r.usually_gone_by_months, author(r.source), r.how_known])
    expect(kept.toSorted()).toEqual(stated.toSorted())
  })

  it('uses the latest upper age of all sources', () => {
    for (const reflex of REFLEXES) {
      const stated = rows
        .filter((r) => r.reflex === reflex)
        .map((r) => Number(r.usually_gone_by_months.split('-').at(-1)))
      expect(upperAgeMonths(reflex), reflex).toBe(Math.max(...stated))
    }
  })

  it('holds the facts of the trade (common practice)', () => {
    // the cheek-to-mouth response is read as a late sign past about 12 months
    expect(upperAgeMonths('rooting')).toBe(12)
    // the sole response is expected to go between 6 and 12 months, and may linger a little
    expect(CATALOGUE.extensor_plantar.ages).toContainEqual(
      expect.objectContaining({ fromMonths: 6, toMonths: 12, source: 'common practice' }),
    )
  })

  it('scores five reflexes in the midline, the others per side', () => {
    const midline: Reflex[] = ['moro', 'snout', 'sucking', 'symmetric_tonic_neck', 'tonic_labyrinthine']
    expect(REFLEXES.filter(isMidline)).toEqual(midline)
    expect(REFLEXES).toHaveLength(12)
  })
})
