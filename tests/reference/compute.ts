import { existsSync, readFileSync } from 'node:fs'
import path from 'node:path'
import {
  blandAltmanCase,
  iccCase,
  kappaCase,
  multipleTestingCase,
  pairedEffectCase,
  pairedTCase,
  poissonRateCase,
  proportionCase,
  rankBiserialCase,
  rateRatioCase,
  wilcoxonCase,
} from './adapters/basic.ts'
import {
  adherenceCase,
  controlChartCase,
  descriptivesCase,
  disclosureCase,
  dominanceCase,
  independentEffectCase,
  mcNemarCase,
  regressionToTheMeanCase,
  reliableChangeCase,
  signTestCase,
  twoByTwoCase,
} from './adapters/basic-more.ts'
import { bootstrapCase } from './adapters/bootstrap.ts'
import { type Adapter, type ReferenceInput, readCase } from './adapters/case-columns.ts'
import { linearMixedModelCase } from './adapters/mixed.ts'
import { ordinalCase, ordinalMixedCase } from './adapters/ordinal.ts'
import { kendallTheilSenCase, singleCaseCase } from './adapters/single-case.ts'
import { kaplanMeierCase, logRankCase, turnbullCase, weibullCase } from './adapters/survival.ts'

/** The adapter of each method that a reference file may name. */
export const ADAPTERS: Readonly<Record<string, Adapter>> = {
  descriptives: descriptivesCase,
  'paired-t': pairedTCase,
  'sign-test': signTestCase,
  mcnemar: mcNemarCase,
  'effect-size-independent': independentEffectCase,
  dominance: dominanceCase,
  'two-by-two': twoByTwoCase,
  'reliable-change': reliableChangeCase,
  'regression-to-the-mean': regressionToTheMeanCase,
  'control-chart': controlChartCase,
  adherence: adherenceCase,
  'disclosure-risk': disclosureCase,
  'wilcoxon-signed-rank': wilcoxonCase,
  'effect-size-paired': pairedEffectCase,
  'matched-pairs-rank-biserial': rankBiserialCase,
  proportion: proportionCase,
  'poisson-rate': poissonRateCase,
  'rate-ratio': rateRatioCase,
  icc: iccCase,
  kappa: kappaCase,
  'bland-altman': blandAltmanCase,
  'multiple-testing': multipleTestingCase,
  'kaplan-meier': kaplanMeierCase,
  'log-rank': logRankCase,
  'interval-censored-npmle': turnbullCase,
  'interval-censored-weibull': weibullCase,
  bootstrap: bootstrapCase,
  'single-case': singleCaseCase,
  'kendall-theil-sen': kendallTheilSenCase,
  'linear-mixed-model': linearMixedModelCase,
  ordinal: ordinalCase,
  'ordinal-mixed': ordinalMixedCase,
}

interface Bound {
  readonly rel?: number
  readonly abs?: number
}

export interface ReferenceCase extends ReferenceInput {
  readonly id: string
  readonly method: string
  readonly tolerance: Bound & { readonly keys?: Readonly<Record<string, Bound>> }
}

/** One number of a case, expected and found. */
export interface Compared {
  readonly key: string
  readonly expected: number | null
  readonly found: unknown
  readonly difference: number
  readonly allowed: number
  readonly relative: number
  readonly agrees: boolean
}

export interface Outcome {
  readonly id: string
  readonly agrees: boolean
  readonly compared: readonly Compared[]
  /** What was thrown, where something was. */
  readonly error: string | null
  readonly leftOut: number
}

export interface LeftOut {
  readonly method: string
  readonly key: string
  readonly reason: string
}

const boundOf = (key: string, { keys, ...general }: ReferenceCase['tolerance']): Bound => {
  const longest = Object.keys(keys ?? {})
    .filter((start) => key.startsWith(start))
    .sort((a, b) => b.length - a.length)[0]
  return longest === undefined ? general : keys![longest]!
}

function compareNumber(
  key: string,
  expected: unknown,
  found: unknown,
  { rel = 0, abs = 0 }: Bound,
): Compared {
  if (expected === null) {
    const agrees = found === null || (typeof found === 'number' && Number.isNaN(found))
    return {
      key,
      expected: null,
      found,
      difference: agrees ? 0 : Infinity,
      allowed: 0,
      relative: agrees ? 0 : Infinity,
      agrees,
    }
  }
  const wanted = Number(expected)
  const value = typeof found === 'number' ? found : Number.NaN
  const difference = value === wanted ? 0 : Math.abs(value - wanted)
  const allowed = Number.isFinite(wanted) ? Math.max(abs, rel * Math.abs(wanted)) : 0
  return {
    key,
    expected: wanted,
    found,
    difference,
    allowed,
    relative: difference === 0 ? 0 : difference / Math.max(Math.abs(wanted), Number.MIN_VALUE),
    agrees: difference <= allowed,
  }
}

function* compare(key: string, expected: unknown, found: unknown, bound: Bound): Generator<Compared> {
  if (Array.isArray(expected)) {
    const same = Array.isArray(found) && found.length === expected.length
    if (!same) yield { ...compareNumber(key, expected.length, Number.NaN, {}), found }
    else for (const [i, value] of expected.entries()) yield* compare(`${key}[${i}]`, value, found[i], bound)
  } else if (typeof expected === 'object' && expected !== null)
    for (const [name, value] of Object.entries(expected))
      yield* compare(
        `${key}.${name}`,
        value,
        (found as Record<string, unknown> | null | undefined)?.[name],
        bound,
      )
  else if (typeof expected === 'string' && !/^-?Infinity$/.test(expected)) {
    const agrees = expected === String(found)
    yield {
      key,
      expected: null,
      found,
      difference: agrees ? 0 : Infinity,
      allowed: 0,
      relative: agrees ? 0 : Infinity,
      agrees,
    }
  } else yield compareNumber(key, expected, found, bound)
}

/** Computes a case and compares every number that is expected of it. */
export function computeCase(one: ReferenceCase, folder: string, leftOut: readonly LeftOut[] = []): Outcome {
  const adapter = ADAPTERS[one.method]
  if (!adapter)
    return { id: one.id, agrees: false, compared: [], error: `unknown method ${one.method}`, leftOut: 0 }
  try {
    const found = adapter(readCase(one, folder))
    const passedOver = (key: string): boolean => leftOut.some((l) => l.method === one.method && l.key === key)
    const keys = Object.keys(one.expected)
    const compared = keys
      .filter((key) => !passedOver(key))
      .flatMap((key) => [...compare(key, one.expected[key], found[key], boundOf(key, one.tolerance))])
    return {
      id: one.id,
      agrees: compared.every((c) => c.agrees),
      compared,
      error: null,
      leftOut: keys.filter(passedOver).length,
    }
  } catch (error) {
    const message = error instanceof Error ? `${error.name}: ${error.message}` : String(error)
    return { id: one.id, agrees: false, compared: [], error: message, leftOut: 0 }
  }
}

export const readCases = (file: string): ReferenceCase[] =>
  JSON.parse(readFileSync(file, 'utf8')) as ReferenceCase[]

/** Keys that are not worth offering, each with its reason. */
export function readLeftOut(): LeftOut[] {
  const file = path.join(import.meta.dirname, 'left-out.json')
  return existsSync(file) ? (JSON.parse(readFileSync(file, 'utf8')) as LeftOut[]) : []
}
