import type { Occasion } from './series.ts'

/** Figures over many series are in points of one scale, so that a clinic that grades 0 to 10 stands beside one that grades 0 to 4. */
export const COMMON_SCALE = 4

/** The score of an occasion in points of the common scale (0 to 4): severity × 4, the written score itself where the clinic grades 0 to 4. */
export const points = (occasion: Pick<Occasion, 'severity'>): number => occasion.severity * COMMON_SCALE

/** The unit as a page prints it. */
export const POINTS_UNIT = 'points of a 0 to 4 scale'
