import { readFile } from 'node:fs/promises'
import { createRequire } from 'node:module'
import { initWasm, Resvg, type ResvgRenderOptions } from '@resvg/resvg-wasm'

const require = createRequire(import.meta.url)
const FAMILY = '@expo-google-fonts/arimo'
/** Arimo has the widths that charts are measured by (those of Helvetica), so labels stand where they were laid out. */
const WEIGHTS = [
  '400Regular/Arimo_400Regular',
  '500Medium/Arimo_500Medium',
  '600SemiBold/Arimo_600SemiBold',
  '700Bold/Arimo_700Bold',
]
const INK_ON_PAPER = '#1d2327'

let ready: Promise<Uint8Array[]> | null = null

/** The renderer and the fonts are loaded once a process, and only when a picture is asked for. */
async function prepare(): Promise<Uint8Array[]> {
  await initWasm(await readFile(require.resolve('@resvg/resvg-wasm/index_bg.wasm')))
  return Promise.all(WEIGHTS.map((weight) => readFile(require.resolve(`${FAMILY}/${weight}.ttf`))))
}

export interface PictureOptions {
  /** Pixels for each pixel of the drawing; 2 by default, which stays sharp on a projector and on paper. */
  readonly scale?: number
  /** Any CSS colour; white by default. */
  readonly background?: string
}

/** A drawing in the page's colour takes ink on paper; its fonts are ours, never the machine's. */
const inked = (svg: string): string =>
  svg
    .replace('<svg ', `<svg color="${INK_ON_PAPER}" `)
    .replace(/font-family="[^"]*"/g, 'font-family="Arimo"')
    .replace(/font-family:[^;"]*/g, 'font-family:Arimo')

async function withPicture<T>(
  svg: string,
  { scale = 2, background = '#ffffff' }: PictureOptions,
  use: (picture: InstanceType<typeof Resvg>) => T,
): Promise<T> {
  ready ??= prepare()
  const fontBuffers = await ready
  const options: ResvgRenderOptions = {
    background,
    fitTo: { mode: 'zoom', value: scale },
    font: { fontBuffers, defaultFontFamily: 'Arimo', sansSerifFamily: 'Arimo' },
  }
  const picture = new Resvg(inked(svg), options)
  try {
    return use(picture)
  } finally {
    picture.free()
  }
}

/** An SVG drawing as PNG: the same bytes on every machine, whatever fonts it has. */
export const pngOf = (svg: string, options: PictureOptions = {}): Promise<Uint8Array> =>
  withPicture(svg, options, (picture) => picture.render().asPng())

/** Width and height of a drawing in its own pixels. */
export const sizeOf = (svg: string): { readonly width: number; readonly height: number } => ({
  width: Number(/<svg [^>]*?\bwidth="([\d.]+)"/.exec(svg)?.[1] ?? 0),
  height: Number(/<svg [^>]*?\bheight="([\d.]+)"/.exec(svg)?.[1] ?? 0),
})

/** The same drawing with its letters as outlines, so that it looks the same where our font is not installed. */
export const outlinedSvg = (svg: string): Promise<string> =>
  withPicture(svg, { scale: 1 }, (picture) => picture.toString())
