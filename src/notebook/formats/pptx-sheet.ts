import type pptxgen from 'pptxgenjs'
import { type Run, slideText } from './pptx-text.ts'

type Presentation = pptxgen.default
export type Slide = pptxgen.default.Slide

export const PAPER = 'FBFAF6'
export const INK = '1D2327'
export const SOFT = '566068'
export const LINE = 'D9DCD6'
export const ACCENT = '0E5A4F'
export const SERIF = 'Georgia'
export const SANS = 'Arial'

/** Inches: a 16 : 9 slide with its margins. */
const WIDTH = 13.333
export const LEFT = 0.6
export const BODY = WIDTH - 2 * LEFT
export const TOP = 1.3
export const BOTTOM = 7.05
/** Letters on a line of 16 point across the body, and the height of such a line. */
export const LETTERS = 118
export const LINE_HEIGHT = 0.31
export const ROW_HEIGHT = 0.33
/** Height of a heading amid a slide, with the room above it. */
const HEADING = 1.1
export const linesOf = (text: string, letters = LETTERS): number =>
  Math.max(1, Math.ceil(text.length / letters))
export const plainOf = (runs: readonly Run[]): string => runs.map((r) => r.text).join('')

/** A section's heading, `y` inches down and `height` inches high. */
const addHeading = (slide: Slide, text: string, y: number, height: number): void => {
  slide.addText(text, {
    x: LEFT,
    y,
    w: BODY,
    h: height,
    margin: 0,
    fontFace: SERIF,
    fontSize: 24,
    bold: true,
    color: INK,
    valign: 'middle',
    fit: 'shrink',
  })
}

/** The slide that is being written, and how far down: blocks go one under another, a new slide begins where one does not fit. */
export class Sheet {
  private readonly presentation: Presentation
  /** Heading of the slides to come. */
  section: string
  slide: Slide | null = null
  y = BOTTOM
  /** Whether the slide holds nothing but a few words under headings, so that the next section may stand on it too. */
  light = false
  /** Whether a new section waits for its first words to say if it stands on a slide of few words. */
  pending = false

  constructor(presentation: Presentation, title: string) {
    this.presentation = presentation
    this.section = slideText(title)
    presentation.layout = 'LAYOUT_WIDE'
    presentation.title = slideText(title)
    presentation.author = 'Waneline'
    presentation.company = ''
    presentation.theme = { headFontFace: SERIF, bodyFontFace: SANS }
    this.titleSlide(slideText(title))
  }

  private titleSlide(title: string): void {
    const slide = this.presentation.addSlide()
    slide.background = { color: PAPER }
    slide.addShape('rect', { x: 0, y: 0, w: 0.22, h: 7.5, fill: { color: ACCENT } })
    slide.addText(title, {
      x: 0.9,
      y: 2.2,
      w: 11.5,
      h: 1.6,
      fontFace: SERIF,
      fontSize: 40,
      bold: true,
      color: INK,
      valign: 'bottom',
      fit: 'shrink',
    })
    this.slide = slide
    this.y = 4
  }

  /** A new slide under a heading. */
  fresh(heading = this.section, under = ''): Slide {
    const slide = this.presentation.addSlide()
    slide.background = { color: PAPER }
    slide.addShape('line', { x: LEFT, y: 0.38, w: BODY, h: 0, line: { color: ACCENT, width: 1.5 } })
    addHeading(slide, slideText(heading), 0.42, 0.55)
    if (under)
      slide.addText(slideText(under), {
        x: LEFT,
        y: 0.95,
        w: BODY,
        h: 0.3,
        margin: 0,
        fontFace: SANS,
        fontSize: 13,
        color: SOFT,
      })
    this.slide = slide
    this.y = TOP
    this.light = false
    this.pending = false
    return slide
  }

  /** Begins a section: on a new slide, or below the few words of the one before if only words follow. */
  begin(section: string): void {
    this.section = section
    if (this.light) this.pending = true
    else this.y = BOTTOM
  }

  /** The slide for words that are so high. */
  wordsRoom(inches: number): Slide {
    const { slide } = this
    if (this.pending && slide && this.y + HEADING + inches <= BOTTOM) {
      addHeading(slide, this.section, this.y + HEADING - 0.6, 0.5)
      this.y += HEADING
      this.pending = false
      return slide
    }
    const light = this.light || this.pending || this.y >= BOTTOM
    const on = this.room(inches)
    this.light = light
    return on
  }

  /** The slide to write on, with room for so many inches. */
  room(inches: number): Slide {
    if (this.pending || !this.slide || this.y + inches > BOTTOM) return this.fresh()
    this.light = false
    return this.slide
  }
}
