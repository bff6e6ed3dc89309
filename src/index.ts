/** Everything a notebook or a script may use. */
export * from './errors.ts'
export * from './records/index.ts'
export { VERSION } from './version.ts'
