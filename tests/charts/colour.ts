/** Colours as the eye has them: contrast, difference, and what is left of them in colour-vision deficiency. */

export type Triple = readonly [number, number, number]
type Matrix = readonly [Triple, Triple, Triple]

/** Light of each channel, 0 to 1, of a colour written as #RRGGBB (IEC 61966-2-1). */
export function linearRgb(hex: string): Triple {
  const channel = (at: number): number => {
    const v = Number.parseInt(hex.slice(at, at + 2), 16) / 255
    return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4
  }
  return [channel(1), channel(3), channel(5)]
}

const times = (m: Matrix, [r, g, b]: Triple): Triple =>
  m.map((row) => row[0] * r + row[1] * g + row[2] * b) as unknown as Triple

const clamped = (rgb: Triple): Triple => rgb.map((v) => Math.min(1, Math.max(0, v))) as unknown as Triple

/** Weights of the channels in luminance (IEC 61966-2-1), for who sees no colour at all. */
const LUMINANCE: Triple = [0.2126, 0.7152, 0.0722]

/**
 * Machado, Oliveira and Fernandes 2009 (A physiologically-based model for simulation of color vision deficiency, IEEE
 * Transactions on Visualization and Computer Graphics 15: 1291 to 1298), supplementary tables, severity 1.0, on linear RGB.
 */
export const VISION: Readonly<Record<string, Matrix>> = {
  'full colour vision': [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
  protanopia: [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  deuteranopia: [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
  tritanopia: [
    [1.255528, -0.076749, -0.178779],
    [-0.078411, 0.930809, 0.147602],
    [0.004733, 0.691367, 0.3039],
  ],
  achromatopsia: [LUMINANCE, LUMINANCE, LUMINANCE],
}

/** Linear RGB as CIE XYZ (IEC 61966-2-1), and the white of D65 that Lab is told against. */
const XYZ: Matrix = [
  [0.4124, 0.3576, 0.1805],
  [0.2126, 0.7152, 0.0722],
  [0.0193, 0.1192, 0.9505],
]
const WHITE: Triple = [0.9505, 1, 1.089]

/** CIE 1976 L*, a*, b*. */
export function lab(rgb: Triple): Triple {
  const f = times(XYZ, clamped(rgb)).map((v, i) => {
    const t = v / WHITE[i]!
    return t > (6 / 29) ** 3 ? Math.cbrt(t) : t / (3 * (6 / 29) ** 2) + 4 / 29
  }) as unknown as Triple
  return [116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])]
}

const RADIANS = Math.PI / 180

/** CIEDE2000, as Sharma, Wu and Dalal 2005 (Color Research and Application 30: 21 to 30) lay it out, equations 2 to 22. */
export function ciede2000([l1, a1, b1]: Triple, [l2, a2, b2]: Triple): number {
  const seventh = (c: number): number => Math.sqrt(c ** 7 / (c ** 7 + 25 ** 7))
  const stretch = 1.5 - 0.5 * seventh((Math.hypot(a1, b1) + Math.hypot(a2, b2)) / 2)
  const chroma = [Math.hypot(a1 * stretch, b1), Math.hypot(a2 * stretch, b2)] as const
  const hue = (a: number, b: number): number =>
    a === 0 && b === 0 ? 0 : (Math.atan2(b, a * stretch) / RADIANS + 360) % 360
  const hues = [hue(a1, b1), hue(a2, b2)] as const
  const grey = chroma[0] * chroma[1] === 0
  const turn = hues[1] - hues[0]
  const dHue = grey ? 0 : turn > 180 ? turn - 360 : turn < -180 ? turn + 360 : turn
  const sum = hues[0] + hues[1]
  const mean = grey ? sum : Math.abs(turn) <= 180 ? sum / 2 : sum < 360 ? sum / 2 + 180 : sum / 2 - 180
  const l = (l1 + l2) / 2
  const c = (chroma[0] + chroma[1]) / 2
  const cos = (times: number, by: number): number => Math.cos((times * mean + by) * RADIANS)
  const t = 1 - 0.17 * cos(1, -30) + 0.24 * cos(2, 0) + 0.32 * cos(3, 6) - 0.2 * cos(4, -63)
  const lightness = (l2 - l1) / (1 + (0.015 * (l - 50) ** 2) / Math.sqrt(20 + (l - 50) ** 2))
  const colour = (chroma[1] - chroma[0]) / (1 + 0.045 * c)
  const tone = (2 * Math.sqrt(chroma[0] * chroma[1]) * Math.sin((dHue / 2) * RADIANS)) / (1 + 0.015 * c * t)
  const rotation = -Math.sin(60 * Math.exp(-(((mean - 275) / 25) ** 2)) * RADIANS) * 2 * seventh(c)
  return Math.sqrt(lightness ** 2 + colour ** 2 + tone ** 2 + rotation * colour * tone)
}

/** How far two colours lie apart to who sees so. */
export const apart = (first: string, second: string, vision: string): number => {
  const seen = (hex: string): Triple => lab(times(VISION[vision]!, linearRgb(hex)))
  return ciede2000(seen(first), seen(second))
}

/** Contrast of two colours, 1 to 21 (WCAG 2.2, relative luminance and contrast ratio). */
export function contrast(first: string, second: string): number {
  const light = [first, second].map((hex) => {
    const [r, g, b] = linearRgb(hex)
    return LUMINANCE[0] * r + LUMINANCE[1] * g + LUMINANCE[2] * b
  })
  return (Math.max(...light) + 0.05) / (Math.min(...light) + 0.05)
}
