/**
 * Seeded numbers that are the same on every machine: 32-bit integer arithmetic (mulberry32, a public-domain
 * generator by T. Ettinger) and no transcendental functions, whose last digit may differ between machines.
 */
export interface Random {
  /** Uniform in [0, 1). */
  uniform(): number
  /** Whole number from low to high, both included. */
  whole(low: number, high: number): number
  /** Approximately normal: the sum of twelve uniforms less six has mean 0 and variance 1 (Irwin–Hall). */
  normal(mean: number, sd: number): number
  chance(probability: number): boolean
  pick<T>(from: readonly T[]): T
  /** In a new order; the argument stays as it is. */
  shuffled<T>(from: readonly T[]): T[]
}

export function random(seed: number): Random {
  let state = seed >>> 0
  const uniform = (): number => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
  const whole = (low: number, high: number): number => low + Math.floor(uniform() * (high - low + 1))
  return {
    uniform,
    whole,
    normal(mean, sd) {
      let sum = -6
      for (let i = 0; i < 12; i++) sum += uniform()
      return mean + sd * sum
    },
    chance: (probability) => uniform() < probability,
    pick: (from) => from[whole(0, from.length - 1)] as (typeof from)[number],
    shuffled(from) {
      const out = [...from]
      for (let i = out.length - 1; i > 0; i--) {
        const j = whole(0, i)
        const a = out[i] as (typeof out)[number]
        out[i] = out[j] as (typeof out)[number]
        out[j] = a
      }
      return out
    },
  }
}
