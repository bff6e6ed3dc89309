import { expect, it } from 'vitest'
import { lines, load } from '../folder.ts'

/** An Observation of a Moro score, whose performer lies within the resource (FHIR R4, references: "contained resources", `#id`). */
const observation = (contained: readonly unknown[], performer: unknown) => ({
  resourceType: 'Observation',
  id: 'o1',
  status: 'final',
  subject: { identifier: { value: 'SM-1' } },
  effectiveDateTime: '2026-03-01',
  code: { text: 'Moro' },
  valueInteger: 2,
  contained,
  performer: [performer],
})

it.each([
  [
    'by its id among several',
    [
      { id: 'q', name: [{ text: 'no' }] },
      { id: 'p', name: [{ text: 'R. Reed' }] },
    ],
    'R. Reed',
  ],
  [
    'beside what is no resource',
    [null, 7, 'x', { id: 'p', name: [{ given: ['R.'], family: 'Reed' }] }],
    'R. Reed',
  ],
  ['where there is none of that id, by the reference as it stands', [null, { id: 'q' }], '#p'],
])('a rater within the resource is found %s', async (_, contained, rater) => {
  const read = await load({ 'a.json': JSON.stringify([observation(contained, { reference: '#p' })]) })
  expect(lines(read, 'problems')).toEqual([])
  expect(lines(read, 'assessments')).toEqual([`SM-1,2026-03-01,moro,midline,2,4,${rater}`])
})
