import { z } from 'zod'
import { UserError } from '../errors.ts'
import { nearestChoice } from '../nearest.ts'
import { type Collector, collector, type DeclaredParameter } from './collector.ts'

type Shape = Readonly<Record<string, z.ZodType>>

/** Ends a run that was only to say which parameters there are. */
export class Described extends Error {
  override readonly name = 'Described'
}

/** `asOf` on the command line is `--as-of`, in the environment `WANELINE_AS_OF`. */
export const flagOf = (name: string): string => name.replace(/[A-Z]/g, (c) => `-${c.toLowerCase()}`)
const environmentOf = (name: string): string => `WANELINE_${flagOf(name).toUpperCase().replaceAll('-', '_')}`

interface Unwrapped {
  readonly type: string
  readonly default: unknown
  readonly required: boolean
}

function unwrap(schema: z.ZodType): Unwrapped {
  let inner: z.ZodType = schema
  let fallback: unknown
  let required = true
  for (;;) {
    const def = inner.def as { type: string; innerType?: z.ZodType; in?: z.ZodType; defaultValue?: unknown }
    if (def.type === 'default' || def.type === 'optional' || def.type === 'nullable') {
      required = false
      if (def.type === 'default') fallback = def.defaultValue
      inner = def.innerType!
    } else if (def.type === 'pipe') inner = def.in!
    else if (def.type === 'readonly') inner = def.innerType!
    else return { type: typeWords(inner, def.type), default: fallback, required }
  }
}

const typeWords = (schema: z.ZodType, type: string): string =>
  type === 'enum'
    ? Object.values((schema.def as unknown as { entries: Record<string, string> }).entries).join(' | ')
    : type

const textOf = (value: unknown): string => (typeof value === 'string' ? value : JSON.stringify(value))

function describeShape(shape: Shape): DeclaredParameter[] {
  return Object.entries(shape).map(([name, schema]) => {
    const inner = unwrap(schema)
    return {
      name,
      type: inner.type,
      description: schema.description ?? '',
      default: inner.default === undefined ? null : textOf(inner.default),
      required: inner.required,
    }
  })
}

/** Options of the commands that run a notebook: what is no parameter may be one of these, mistyped. */
const OPTIONS = [
  'out',
  'params',
  'format',
  'no-check',
  'no-code',
  'no-live',
  'no-cache',
  'port',
  'only',
  'scale',
  'help',
]

function unknownParameter(name: string, said: string, declared: readonly DeclaredParameter[]): UserError {
  const flags = declared.map((d) => flagOf(d.name))
  const near = nearestChoice(flagOf(name), [...flags, ...OPTIONS])
  const another = near === flagOf(name)
  const meant = near === null || another ? '' : ` Did you mean --${near}?`
  return new UserError(
    `${said} is no ${another ? 'option of this command and no ' : ''}parameter of this notebook.${meant} It has: ${flags.map((flag) => `--${flag}`).join(', ') || 'none'}.`,
    { exitCode: 2 },
  )
}

/** Texts from flags and the environment become what the schema wants, where they can. */
function typed(type: string, raw: unknown): unknown {
  if (typeof raw !== 'string') return raw
  if (type === 'number' && raw.trim() !== '' && !Number.isNaN(Number(raw))) return Number(raw)
  if (type === 'boolean') return raw === '' || raw === 'true' ? true : raw === 'false' ? false : raw
  if (type === 'array' && !raw.startsWith('[')) return raw.split(',').map((part) => part.trim())
  if (type === 'array' || type === 'object' || type === 'record')
    try {
      return JSON.parse(raw)
    } catch {
      return raw
    }
  return raw
}

/**
 * Declares the parameters of a notebook, once, and gives their values: from flags, then a YAML file, then the
 * environment, then the defaults. Types, checks, descriptions and defaults are zod's.
 *
 * @example const { data, asOf } = parameters({ data: z.string().describe('folder of exports'), asOf: z.string() })
 * @throws UserError that names the parameter, what was found and where it came from
 */
export function parameters<S extends Shape>(shape: S): { readonly [K in keyof S]: z.infer<S[K]> } {
  const page = collector()
  const declared = describeShape(shape)
  if (page) page.declared = declared
  if (page?.describeOnly) throw new Described()
  const { given, origin } = withEnvironment(declared, page)
  for (const name of Object.keys(given))
    if (!(name in shape)) throw unknownParameter(name, origin[name] ?? name, declared)
  const raw = Object.fromEntries(
    declared.filter((d) => given[d.name] !== undefined).map((d) => [d.name, typed(d.type, given[d.name])]),
  )
  const result = z.object(shape).safeParse(raw)
  if (!result.success) throw new UserError(sentences(result.error, raw, origin, declared), { exitCode: 2 })
  const values = result.data as { readonly [K in keyof S]: z.infer<S[K]> }
  if (page)
    page.values = Object.fromEntries(
      Object.entries(values).map(([name, value]) => [name, textOf(raw[name] ?? value ?? '')]),
    )
  return values
}

/** What flags and file gave, and what the environment gives for the rest. */
function withEnvironment(
  declared: readonly DeclaredParameter[],
  page: Collector | null,
): Pick<Collector, 'given' | 'origin'> {
  const given: Record<string, unknown> = {}
  const origin: Record<string, string> = {}
  for (const { name } of declared) {
    const value = process.env[environmentOf(name)]
    if (value === undefined) continue
    given[name] = value
    origin[name] = environmentOf(name)
  }
  return { given: { ...given, ...page?.given }, origin: { ...origin, ...page?.origin } }
}

function sentences(
  error: z.ZodError,
  raw: Readonly<Record<string, unknown>>,
  origin: Readonly<Record<string, string>>,
  declared: readonly DeclaredParameter[],
): string {
  return error.issues
    .map((issue) => {
      const name = String(issue.path[0] ?? '')
      const what = declared.find((d) => d.name === name)?.description
      const flag = `--${flagOf(name)}`
      if (!(name in raw))
        return `${flag} is missing${what ? `: ${what}` : ''}. Give it as ${flag} or ${environmentOf(name)}.`
      return `${origin[name] ?? flag} cannot be ${JSON.stringify(raw[name])}: ${issue.message}.`
    })
    .join('\n')
}
