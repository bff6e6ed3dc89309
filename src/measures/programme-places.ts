import { COURSES_PER_CLIENT, courseNumber, type Programme } from './programme-stretches.ts'

/** Where each stretch and segment lies in the arrays of days, and which segments a client, target and side has. */
export interface Places {
  readonly offset: Int32Array
  readonly days: number
  readonly segmentFrom: Int32Array
  readonly segmentUntil: Int32Array
  readonly segmentOffset: Int32Array
  readonly segmentStretch: Int32Array
  readonly segmentUnit: Uint8Array
  readonly segmentPerSession: Float64Array
  /** First segment of a course, and the one after its last. */
  readonly courseFirst: Int32Array
  readonly courseEnd: Int32Array
}

const UNITS = ['reps', 'seconds', 'sessions'] as const

/** Places of every stretch, in order. */
export function placesOf(programme: Programme): Places {
  const { stretches } = programme
  const count = stretches.reduce((n, s) => n + s.segments.length, 0)
  const courses = programme.clientIds.length * COURSES_PER_CLIENT
  const places = {
    offset: new Int32Array(stretches.length),
    days: 0,
    segmentFrom: new Int32Array(count),
    segmentUntil: new Int32Array(count),
    segmentOffset: new Int32Array(count),
    segmentStretch: new Int32Array(count),
    segmentUnit: new Uint8Array(count),
    segmentPerSession: new Float64Array(count),
    courseFirst: new Int32Array(courses),
    courseEnd: new Int32Array(courses),
  }
  let segment = 0
  stretches.forEach((stretch, s) => {
    places.offset[s] = places.days
    const course = courseNumber(stretch.client, stretch.target, stretch.side)
    if (places.courseEnd[course] === 0) places.courseFirst[course] = segment
    for (const one of stretch.segments) {
      places.segmentFrom[segment] = one.from
      places.segmentUntil[segment] = one.until
      places.segmentOffset[segment] = places.days + one.from - stretch.from
      places.segmentStretch[segment] = s
      places.segmentUnit[segment] = UNITS.indexOf(one.unit)
      places.segmentPerSession[segment] = one.amountPerSession
      segment++
    }
    places.courseEnd[course] = segment
    places.days += stretch.until - stretch.from + 1
  })
  return places
}

/** First and last programme day of each client, and where its days begin. */
export function clientSpans(programme: Programme) {
  const n = programme.clientIds.length
  const from = new Int32Array(n).fill(1)
  const until = new Int32Array(n).fill(0)
  const seen = new Uint8Array(n)
  for (const s of programme.stretches) {
    from[s.client] = seen[s.client] ? Math.min(from[s.client]!, s.from) : s.from
    until[s.client] = seen[s.client] ? Math.max(until[s.client]!, s.until) : s.until
    seen[s.client] = 1
  }
  const offset = new Int32Array(n)
  let days = 0
  for (let c = 0; c < n; c++) {
    offset[c] = days
    days += until[c]! - from[c]! + 1
  }
  return { from, until, offset, days }
}
