export * from './attention.ts'
export * from './cautions.ts'
export * from './headline.ts'
export * from './reading.ts'
