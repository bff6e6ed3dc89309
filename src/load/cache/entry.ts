import { createHash } from 'node:crypto'
import { deserialize, serialize } from 'node:v8'
import {
  type Assessment,
  type Column,
  columnOf,
  type ProblemTable,
  problemTable,
  type Records,
  type SessionTable,
  TABLE_COLUMNS,
  valueAt,
  withProblems,
} from '../../records/index.ts'
import type { Loaded } from '../loadFolder.ts'

/** What an entry was made from. An entry is used only where all of it is the same. */
export interface EntryKey {
  /** Digest of program, options and guide. */
  readonly setup: string
  /** Files by path under the folder, with their sizes, and what was not read with its reason. */
  readonly files: readonly (readonly [file: string, bytes: number])[]
  readonly notRead: readonly (readonly [file: string, reason: string])[]
  /** SHA-256 of each file, in that order. */
  readonly sha256: readonly string[]
}

type ColumnName = Exclude<keyof SessionTable, 'length' | 'note'>
// Notes are offsets into bytes of their own.
const COLUMNS = TABLE_COLUMNS.sessions.filter((name): name is ColumnName => name !== 'note')

const CODES = { Uint8Array, Uint16Array, Int32Array }
type Codes = Column<unknown>['codes']

interface CodesPlace {
  readonly type: keyof typeof CODES
  readonly length: number
  readonly at: number
}

/** The first line: what this is, how long the key and all the rest are, and the digest of all that follows the line. */
const MAGIC = 'waneline-records 1'
/** Long enough for the first line, which is filled up with blanks. */
export const FIRST_LINE_BYTES = 160
const ALIGNED = 8
const aligned = (bytes: number): number => Math.ceil(bytes / ALIGNED) * ALIGNED

export interface FirstLine {
  readonly keyBytes: number
  readonly restBytes: number
  readonly sha256: string
}

/** An entry in pieces, to be written one after the other; the codes of the sessions are not copied. */
export function encodeEntry(key: EntryKey, loaded: Loaded): Uint8Array[] {
  const { sessions } = loaded.records
  const notes = noteColumn(sessions)
  const columns = [...COLUMNS.map((name) => sessions[name].codes), notes.codes]
  const places: CodesPlace[] = []
  let at = 0
  for (const codes of columns) {
    places.push({ type: typeOf(codes), length: codes.length, at })
    at += aligned(codes.byteLength)
  }
  const values = [...COLUMNS.map((name) => sessions[name].values), notes.values]
  const rest = serialize({ loaded: { ...loaded, records: smallTables(loaded.records) }, places, values })
  const keyText = padded(Buffer.from(JSON.stringify([key, rest.length])))
  const pieces = [keyText, padded(rest), ...columns.flatMap(bytesOf)]
  const digest = createHash('sha256')
  for (const piece of pieces) digest.update(piece)
  const bytes = pieces.reduce((sum, piece) => sum + piece.length, 0)
  const line = `${MAGIC} ${keyText.length} ${bytes - keyText.length} ${digest.digest('hex')}`
  return [Buffer.from(`${line.padEnd(FIRST_LINE_BYTES - 1)}\n`), ...pieces]
}

/** The first line of an entry; null where it is none, or one of another form. */
export function readFirstLine(bytes: Uint8Array): FirstLine | null {
  const m = /^waneline-records 1 (\d+) (\d+) ([0-9a-f]{64}) *\n$/.exec(Buffer.from(bytes).toString('latin1'))
  return m ? { keyBytes: Number(m[1]), restBytes: Number(m[2]), sha256: m[3] as string } : null
}

/** The key of an entry, as it stands before its checksum is known to be right. */
export function readKey(bytes: Uint8Array): { readonly key: EntryKey; readonly restLength: number } | null {
  try {
    const [key, restLength] = JSON.parse(Buffer.from(bytes).toString('utf8')) as [EntryKey, number]
    return { key, restLength }
  } catch {
    return null
  }
}

/**
 * What an entry holds; null where its bytes are not those that were written.
 *
 * @param rest what follows the key, at the beginning of a buffer of its own
 */
export function decodeEntry(
  { sha256 }: FirstLine,
  keyBytes: Uint8Array,
  rest: Uint8Array<ArrayBuffer>,
): Loaded | null {
  if (createHash('sha256').update(keyBytes).update(rest).digest('hex') !== sha256) return null
  const restLength = readKey(keyBytes)?.restLength ?? 0
  const { loaded, places, values } = deserialize(rest.subarray(0, restLength)) as {
    readonly loaded: Omit<Loaded, 'records'> & { readonly records: SmallTables }
    readonly places: readonly CodesPlace[]
    readonly values: readonly (readonly unknown[])[]
  }
  const from = rest.byteOffset + aligned(restLength)
  const columns = places.map(({ type, length, at }, k) => ({
    codes: new CODES[type](rest.buffer, from + at, length),
    values: values[k] as readonly unknown[],
  }))
  const notes = columns[COLUMNS.length] as Column<string | null>
  const sessions = {
    length: notes.codes.length,
    ...Object.fromEntries(COLUMNS.map((name, k) => [name, columns[k]])),
    note: (i: number) => notes.values[notes.codes[i] as number] ?? null,
  } as SessionTable
  const { scores, problems, ...others } = loaded.records
  return {
    ...loaded,
    records: withProblems({ ...others, assessments: assessmentsOf(scores), sessions }, problems),
  }
}

/** All but the sessions; scores and problems by column, since there may be millions. */
interface SmallTables extends Pick<Records, 'clients' | 'programmes' | 'unreadReactions'> {
  readonly scores: readonly Column<Assessment[keyof Assessment]>[]
  readonly problems: ProblemTable
}

function smallTables(records: Records): SmallTables {
  const { clients, programmes, unreadReactions, assessments } = records
  return {
    clients,
    programmes,
    ...(unreadReactions === undefined ? {} : { unreadReactions }),
    scores: TABLE_COLUMNS.assessments.map((name) => columnOf(assessments.map((row) => row[name]))),
    problems: records.problemTable ?? problemTable(records.problems),
  }
}

const assessmentsOf = (scores: SmallTables['scores']): Assessment[] =>
  Array.from({ length: scores[0]?.codes.length ?? 0 }, (_, i) => {
    const [client_id, assessed_on, reflex, side, score, scale_max, rater_id] = scores.map((c) =>
      valueAt(c, i),
    )
    return { client_id, assessed_on, reflex, side, score, scale_max, rater_id } as Assessment
  })

const typeOf = (codes: Codes): CodesPlace['type'] =>
  codes instanceof Uint8Array ? 'Uint8Array' : codes instanceof Uint16Array ? 'Uint16Array' : 'Int32Array'

function bytesOf(codes: Codes): Uint8Array[] {
  const bytes = new Uint8Array(codes.buffer, codes.byteOffset, codes.byteLength)
  const more = aligned(bytes.length) - bytes.length
  return more === 0 ? [bytes] : [bytes, new Uint8Array(more)]
}

function padded(bytes: Uint8Array): Uint8Array {
  const whole = new Uint8Array(aligned(bytes.length)).fill(0x20)
  whole.set(bytes)
  return whole
}

/** Notes as a column; code 0 is no note. */
function noteColumn(sessions: SessionTable): Column<string | null> {
  const codes = new Int32Array(sessions.length)
  const seen = new Map<string | null, number>([[null, 0]])
  for (let i = 0; i < codes.length; i++) {
    const note = sessions.note(i)
    if (note === null) continue
    const code = seen.get(note) ?? seen.size
    seen.set(note, code)
    codes[i] = code
  }
  return { codes, values: [...seen.keys()] }
}
