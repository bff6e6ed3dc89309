import { defineConfig, mergeConfig } from 'vitest/config'
import everyday from './vitest.config.ts'

/** The long runs that the everyday suite leaves out: `npm run thorough`. */
const { include: _, exclude: __, ...test } = everyday.test ?? {}
export default mergeConfig(
  { ...everyday, test },
  defineConfig({ test: { include: ['tests/thorough/**/*.test.ts'], testTimeout: 3_600_000 } }),
)
