export * from './attention.ts'
export * from './cautions.ts'
export * from './reading.ts'
