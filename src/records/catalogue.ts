/** One source's statement of the age by which a reflex is usually gone, in months. */
export interface ReflexAge {
  readonly fromMonths: number
  readonly toMonths: number
  readonly source: string
  readonly howKnown: string
}

export interface ReflexEntry {
  /** Everyday English name, as a page prints it. */
  readonly name: string
  /** True where the response has no side: it is scored `midline`. */
  readonly midline: boolean
  readonly ages: readonly ReflexAge[]
}

const age = (fromMonths: number, toMonths: number, source: string, howKnown: string): ReflexAge => ({
  fromMonths,
  toMonths,
  source,
  howKnown,
})

const SWARTZ = 'Swartz, Textbook of Physical Diagnosis, 6th ed. 2010'
const MOLNAR = 'Molnar, Pediatric Rehabilitation'
const OSULLIVAN = "O'Sullivan & Schmitz, Physical Rehabilitation"
const PAGE = 'quoted by a teaching page'
const TABLE = 'quoted by a teaching table'
const MEMORY = 'from memory'

/**
 * The reflexes a record may name, with every source's ages. Sources disagree, so all are kept and the
 * latest upper age is the one in use ({@link upperAgeMonths}): nobody is called late on the strictest table alone.
 */
export const CATALOGUE = {
  asymmetric_tonic_neck: {
    name: 'Asymmetric tonic neck',
    midline: false,
    ages: [age(6, 7, MOLNAR, TABLE), age(4, 6, OSULLIVAN, TABLE)],
  },
  babkin: {
    name: 'Babkin',
    midline: false,
    ages: [age(3, 5, 'Zafeiriou, Pediatr Neurol 2004;31:1-8', MEMORY)],
  },
  extensor_plantar: {
    name: 'Extensor plantar',
    midline: false,
    ages: [
      age(6, 12, 'common practice', 'may linger a little; past 24 months read as a sign to refer on'),
      age(12, 24, "Bickley, Bates' Guide to Physical Examination", MEMORY),
    ],
  },
  moro: {
    name: 'Moro',
    midline: true,
    ages: [age(4, 4, SWARTZ, PAGE), age(4, 6, MOLNAR, TABLE), age(5, 6, OSULLIVAN, TABLE)],
  },
  palmar_grasp: {
    name: 'Palmar grasp',
    midline: false,
    ages: [age(3, 4, SWARTZ, PAGE), age(5, 6, MOLNAR, TABLE), age(4, 6, OSULLIVAN, TABLE)],
  },
  plantar_grasp: {
    name: 'Plantar grasp',
    midline: false,
    ages: [
      age(6, 8, SWARTZ, PAGE),
      age(12, 14, `${MOLNAR} (when walking is reached)`, TABLE),
      age(9, 9, OSULLIVAN, TABLE),
    ],
  },
  rooting: {
    name: 'Rooting',
    midline: false,
    ages: [age(3, 4, SWARTZ, PAGE), age(12, 12, 'common practice', 'later than this is read as a late sign')],
  },
  snout: {
    name: 'Snout',
    midline: true,
    ages: [age(12, 12, 'general neurological teaching (a frontal release sign in adults)', MEMORY)],
  },
  spinal_galant: {
    name: 'Spinal Galant',
    midline: false,
    ages: [age(2, 2, SWARTZ, PAGE), age(4, 6, 'Modrell & Tadi, Primitive Reflexes, StatPearls', MEMORY)],
  },
  sucking: {
    name: 'Sucking',
    midline: true,
    ages: [age(3, 4, 'general paediatric teaching', MEMORY)],
  },
  symmetric_tonic_neck: {
    name: 'Symmetric tonic neck',
    midline: true,
    ages: [age(6, 7, MOLNAR, TABLE), age(8, 12, OSULLIVAN, TABLE)],
  },
  tonic_labyrinthine: {
    name: 'Tonic labyrinthine',
    midline: true,
    ages: [age(4, 6, MOLNAR, TABLE), age(6, 6, OSULLIVAN, TABLE)],
  },
} as const satisfies Record<string, ReflexEntry>

export type Reflex = keyof typeof CATALOGUE
export const REFLEXES = Object.keys(CATALOGUE) as readonly Reflex[]

/** What a programme line or a session may work on: a reflex, or the ear. */
export type Target = Reflex | 'ear_stimulation'
export const TARGETS: readonly Target[] = [...REFLEXES, 'ear_stimulation']

/** Whether a word is the code of a reflex of the catalogue. */
export const isReflex = (code: string): code is Reflex => Object.hasOwn(CATALOGUE, code)
/** Whether a reflex is scored once, in the midline, instead of on each side. */
export const isMidline = (reflex: Reflex): boolean => CATALOGUE[reflex].midline

/** The age in months past which no source of the catalogue expects the reflex any more: the latest of their upper ages. */
export const upperAgeMonths = (reflex: Reflex): number =>
  Math.max(...CATALOGUE[reflex].ages.map((a) => a.toMonths))

/** The name a page prints for a target. */
export const targetName = (target: Target): string =>
  target === 'ear_stimulation' ? 'Ear stimulation' : CATALOGUE[target].name
