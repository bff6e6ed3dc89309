import { existsSync, lstatSync, readFileSync, readlinkSync, realpathSync } from 'node:fs'
import { mkdir, open, rm, stat } from 'node:fs/promises'
import { basename, dirname, join, relative, resolve, sep } from 'node:path'
import { UserError } from '../errors.ts'
import { newSecret } from '../release/index.ts'

/** The key of a release's pseudonyms, and what keeps it for next year. */
export interface Secret {
  readonly key: Uint8Array
  /** Writes a secret that was made anew, with owner-only rights; does nothing for one that is there, or is not kept. */
  readonly keep: () => Promise<void>
  /** Takes back what {@link keep} wrote, where the release came to nothing. */
  readonly forget: () => Promise<void>
  /** What whoever keeps it should know; empty where there is nothing to say. */
  readonly advice: string
}

const isLink = (path: string): boolean =>
  lstatSync(path, { throwIfNoEntry: false })?.isSymbolicLink() ?? false

/** The real place of a path of which only the beginning may exist; a link counts as where it points, there or not. */
function realPlace(path: string): string {
  const full = resolve(path)
  if (existsSync(full)) return realpathSync(full)
  if (isLink(full)) return realPlace(resolve(dirname(full), readlinkSync(full)))
  return join(realPlace(dirname(full)), basename(full))
}

const inside = (path: string, folder: string): boolean => {
  const way = relative(realPlace(folder), realPlace(path))
  return way === '' || (!way.startsWith(`..${sep}`) && way !== '..')
}

async function readSecret(path: string): Promise<Uint8Array> {
  const found = await stat(path)
  if (!found.isFile()) throw new UserError(`The secret ${path} is no file. Name a file.`, { exitCode: 2 })
  const { mode } = found
  if (process.platform !== 'win32' && (mode & 0o077) !== 0)
    throw new UserError(`Others than its owner may read the secret ${path}. Run: chmod 600 ${path}`)
  const text = readFileSync(path, 'utf8').trim()
  if (!/^[0-9a-f]{64}$/.test(text))
    throw new UserError(
      `${path} holds no secret: 64 hexadecimal digits are expected. Name a file that does not exist to have one made.`,
    )
  return Buffer.from(text, 'hex')
}

async function writeSecret(path: string, key: Uint8Array): Promise<void> {
  try {
    await mkdir(dirname(resolve(path)), { recursive: true, mode: 0o700 })
    const handle = await open(path, 'wx', 0o600)
    try {
      await handle.writeFile(`${Buffer.from(key).toString('hex')}\n`)
      await handle.sync()
    } finally {
      await handle.close()
    }
  } catch (cause) {
    const reason = cause instanceof Error ? cause.message : String(cause)
    throw new UserError(`Cannot write the secret ${path}: ${reason}. Nothing was released.`, { cause })
  }
}

/**
 * The clinic's secret: the file's, or a fresh one that is kept there on first use. Without a file, one that is forgotten.
 * @throws UserError where the file lies in the release folder or the release in it, others may read it, or it holds no secret
 */
export async function secretOf(path: string | undefined, out: string): Promise<Secret> {
  const nothing = async (): Promise<void> => {}
  const idle = { keep: nothing, forget: nothing }
  if (path === undefined) return { ...idle, key: newSecret(), advice: '' }
  if (inside(path, out))
    throw new UserError(
      `The secret ${path} lies in the release folder ${out}. Keep it outside: whoever has both knows who everybody is.`,
      { exitCode: 2 },
    )
  if (inside(out, path))
    throw new UserError(`The release ${out} would lie in ${path}, which is to be the secret, a file.`, {
      exitCode: 2,
    })
  const advice =
    dirname(realPlace(path)) === dirname(realPlace(out))
      ? `note: the secret lies beside the release. Hand on the folder ${out}, never the one around it.`
      : ''
  if (existsSync(path)) return { ...idle, key: await readSecret(path), advice }
  const key = newSecret()
  return { key, keep: () => writeSecret(path, key), forget: () => rm(path, { force: true }), advice }
}
