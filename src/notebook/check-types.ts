import { createRequire } from 'node:module'
import { dirname, relative } from 'node:path'
import ts from 'typescript'
import { UserError } from '../errors.ts'
import { FROM_SOURCE, TOOLKIT_TYPES } from './resolve.ts'
import { excerpt } from './source.ts'

const OPTIONS: ts.CompilerOptions = {
  target: ts.ScriptTarget.ES2023,
  lib: ['lib.es2023.d.ts'],
  module: ts.ModuleKind.NodeNext,
  moduleResolution: ts.ModuleResolutionKind.NodeNext,
  moduleDetection: ts.ModuleDetectionKind.Force,
  strict: true,
  noEmit: true,
  skipLibCheck: true,
  allowImportingTsExtensions: true,
  resolveJsonModule: true,
  types: ['node'],
  typeRoots: [dirname(dirname(createRequire(import.meta.url).resolve('@types/node/package.json')))],
}

/** A notebook is a module, also in a folder without a package.json that says so. */
function asModules(file: string, options: ts.CompilerOptions): ts.CompilerHost {
  const host = ts.createCompilerHost(options)
  const read = host.getSourceFile.bind(host)
  host.getSourceFile = (name, language, ...rest) => {
    if (name !== file.replaceAll('\\', '/') || typeof language !== 'object')
      return read(name, language, ...rest)
    return read(name, { ...language, impliedNodeFormat: ts.ModuleKind.ESNext }, ...rest)
  }
  return host
}

/**
 * Type-checks one notebook with the files of its own that it imports.
 * @throws UserError with every error, each with a few lines of source
 */
export function checkTypes(file: string, path: string, source: string): void {
  const options: ts.CompilerOptions = {
    ...OPTIONS,
    customConditions: FROM_SOURCE ? ['waneline-source'] : [],
    // As at run time: `waneline` is this toolkit, wherever the notebook lies.
    paths: { waneline: [TOOLKIT_TYPES] },
  }
  const program = ts.createProgram([file], options, asModules(file, options))
  const toolkit = `${dirname(TOOLKIT_TYPES).replaceAll('\\', '/')}/`
  const own = program
    .getSourceFiles()
    .filter(
      (f) =>
        f === program.getSourceFile(file) ||
        !(
          f.isDeclarationFile ||
          program.isSourceFileFromExternalLibrary(f) ||
          f.fileName.startsWith(toolkit)
        ),
    )
  const errors = own.flatMap((f) => [
    ...program.getSyntacticDiagnostics(f),
    ...program.getSemanticDiagnostics(f),
  ])
  if (errors.length === 0) return
  const told = errors.map((d) => {
    const line = d.start === undefined || !d.file ? 1 : d.file.getLineAndCharacterOfPosition(d.start).line + 1
    const other = d.file && d.file !== program.getSourceFile(file) ? d.file : null
    const where = other ? relative('', other.fileName) : path
    return `${where}:${line}: ${ts.flattenDiagnosticMessageText(d.messageText, '\n  ')}\n\n${excerpt(other?.text ?? source, line)}`
  })
  throw new UserError(
    `${told.join('\n\n')}\n\nThe notebook does not pass its type check; nothing was run. --no-check runs it all the same.`,
  )
}
