import { defineConfig } from 'vitest/config'

export default defineConfig({
  resolve: { conditions: ['waneline-source', 'node'] },
  ssr: {
    resolve: { conditions: ['waneline-source', 'node'], externalConditions: ['waneline-source', 'node'] },
  },
  test: {
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/thorough/**'],
    env: { TZ: process.env.TZ ?? 'UTC' },
    testTimeout: 60_000,
    hookTimeout: 120_000,
  },
})
