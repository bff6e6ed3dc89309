/** Everything a notebook or a script may use. */
export * from './charts/index.ts'
export * from './errors.ts'
export * from './measures/index.ts'
export * from './notebook/index.ts'
export * from './records/index.ts'
export { VERSION } from './version.ts'
