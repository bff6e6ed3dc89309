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
    // Half of the suite waits for processes and browsers it started: every core is kept at work.
    maxWorkers: '100%',
    testTimeout: 90_000,
    hookTimeout: 120_000,
  },
})
