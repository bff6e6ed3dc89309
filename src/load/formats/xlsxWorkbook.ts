import { runInNewContext } from 'node:vm'
import * as XLSX from '@e965/xlsx'
import { zipSync } from 'fflate'
import { UserError } from '../../errors.ts'
import { MAX_WORKBOOK_BYTES } from './limits.ts'
import { zipMembers } from './zip.ts'

/** Parts of a workbook that hold no cells and need not be unpacked: pictures, charts, macros, cached pivots. */
const LEFT_PACKED =
  /^(docProps|customXml)\/|^xl\/(media|drawings|charts|embeddings|ctrlProps|printerSettings|pivot|externalLinks)/i
const SHEET = /^xl\/worksheets\/[^/]+\.xml$/i
const isPart = (name: string): boolean => /\.(xml|rels)$/i.test(name) && !LEFT_PACKED.test(name)

/** The library may take this long, and as long again for every 16 MB of sheets, milliseconds. */
const PATIENCE = 15_000
const BYTES_PER_PATIENCE = 16 * 1024 * 1024

export interface Workbook {
  readonly book: XLSX.WorkBook
  /** Formulas that no spreadsheet has worked out yet, so that their cells are empty. */
  readonly unworkedFormulas: number
}

/**
 * A workbook as the library gives it: sheets as lists of rows of cells, formulas by the value last worked out.
 * Its parts are unpacked and checked here first, so that the library never sees one that is a bomb or is damaged.
 *
 * @throws UserError when the file is no workbook that can be read, or is too large
 */
export function openWorkbook(file: string, archive: Uint8Array): Workbook {
  const members = zipMembers(file, archive)
  if (members.some(({ name }) => /^xl\/workbook\.bin$/i.test(name)))
    throw new UserError(`${file} is a binary workbook. Save it as .xlsx.`)
  const parts = members.filter(({ name }) => isPart(name))
  const size = parts.reduce((sum, part) => sum + part.size, 0)
  if (size > MAX_WORKBOOK_BYTES)
    throw new UserError(
      `${file} holds ${size} bytes of sheets, more than the ${MAX_WORKBOOK_BYTES} that are read. Save its sheets as CSV.`,
    )
  const files = Object.fromEntries(parts.map((part) => [part.name, part.bytes()]))
  const book = readBook(file, files, size)
  requireAllCells(file, files, book)
  return { book, unworkedFormulas: countFormulasWithoutValue(files) }
}

function readBook(file: string, files: Readonly<Record<string, Uint8Array>>, size: number): XLSX.WorkBook {
  const archive = zipSync(files, { level: 0 })
  const read = (): XLSX.WorkBook =>
    XLSX.read(archive, {
      type: 'array',
      dense: true,
      cellFormula: false,
      cellHTML: false,
      cellText: false,
      cellNF: true,
      cellDates: false,
    })
  try {
    // The library's patterns can be made to look for ever; only a script with a time limit can be ended.
    return runInNewContext(
      'read()',
      { read },
      { timeout: Math.ceil(PATIENCE * (1 + size / BYTES_PER_PATIENCE)) },
    )
  } catch (cause) {
    if (cause instanceof UserError) throw cause
    throw new UserError(`${file} is damaged or no workbook. Open it in a spreadsheet and save it anew.`, {
      cause,
    })
  }
}

/**
 * The library passes over a sheet or a list of texts that it cannot read; so the cells that have a value are counted in
 * the parts themselves, and none may be missing.
 */
function requireAllCells(
  file: string,
  files: Readonly<Record<string, Uint8Array>>,
  book: XLSX.WorkBook,
): void {
  let written = 0
  for (const [name, bytes] of Object.entries(files))
    if (SHEET.test(name)) written += countValues(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length))
  let read = 0
  for (const sheet of Object.values(book.Sheets))
    sheet['!data']?.forEach((row) => {
      row?.forEach((cell) => {
        if (cell?.v !== undefined) read++
      })
    })
  if (read < written)
    throw new UserError(
      `${file} is damaged: ${written} cells have a value, only ${read} can be read. Open it in a spreadsheet and save it anew.`,
    )
}

function countFormulasWithoutValue(files: Readonly<Record<string, Uint8Array>>): number {
  let count = 0
  for (const [name, bytes] of Object.entries(files)) {
    if (!SHEET.test(name)) continue
    const xml = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length)
    for (const end of ['</f></c>', '</f><v></v></c>', '</f><v/></c>', '</f><v /></c>'])
      for (let at = xml.indexOf(end); at >= 0; at = xml.indexOf(end, at + end.length)) count++
  }
  return count
}

/** How often a cell has a value that is not empty: `<v>` not followed at once by a tag. */
function countValues(xml: Buffer): number {
  const prefix = /<(\w+:)sheetData/.exec(xml.toString('latin1', 0, 65536))?.[1] ?? ''
  const needle = `<${prefix}v>`
  let count = 0
  for (let at = xml.indexOf(needle); at >= 0; at = xml.indexOf(needle, at + needle.length))
    if (xml[at + needle.length] !== 0x3c) count++
  return count
}
