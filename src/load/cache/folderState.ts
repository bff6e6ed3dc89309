import { stat } from 'node:fs/promises'
import { CountedSource, type FoundFile, listFolder, type NotRead } from '../folder.ts'
import type { LoadOptions } from '../loadFolder.ts'

/** What a folder holds, without its content: enough to see that nothing was touched between two looks. */
export interface FolderState {
  readonly files: readonly FoundFile[]
  readonly notRead: readonly NotRead[]
  /** Size, times and number of each file, as the file system tells them. */
  readonly marks: readonly string[]
}

/** @throws UserError as the reading itself does, where the folder is missing, empty or cannot be opened */
export async function folderState(folder: string): Promise<FolderState> {
  const { files, notRead } = await listFolder(folder)
  const marks: string[] = []
  for (const { path } of files) {
    const { size, mtimeNs, ctimeNs, ino } = await stat(path, { bigint: true })
    marks.push([size, mtimeNs, ctimeNs, ino].join())
  }
  return { files, notRead, marks }
}

export const sameState = (a: FolderState, b: FolderState): boolean =>
  JSON.stringify([a.files, a.notRead, a.marks]) === JSON.stringify([b.files, b.notRead, b.marks])

/**
 * SHA-256 of each file, by its bytes and not by its date.
 *
 * @param known fingerprints taken already, by file
 */
export async function fingerprints(
  { files }: FolderState,
  known: ReadonlyMap<string, string>,
  onProgress: LoadOptions['onProgress'],
): Promise<string[]> {
  const totalBytes = files.reduce((sum, { bytes }) => sum + bytes, 0)
  const found: string[] = []
  let before = 0
  for (const file of files) {
    const source = new CountedSource(file, (read) =>
      onProgress?.({ file: file.file, bytes: before + read, totalBytes }),
    )
    found.push(known.get(file.file) ?? (await source.sha256()))
    before += file.bytes
  }
  return found
}
