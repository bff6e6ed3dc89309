/** Every closed word list of the five tables. Order is the order of the contract; it carries no rank. */
export const SIDES = ['left', 'right', 'midline'] as const
export const SEXES = ['female', 'male', 'other', 'unknown'] as const
export const DISCHARGE_REASONS = ['completed', 'moved', 'stopped', 'referred', 'died', 'other'] as const
export const CAUTIONS = [
  'fracture_risk',
  'heart_rhythm',
  'implanted_device',
  'pregnancy',
  'seizures',
  'shunt',
  'skin',
] as const
export const CONSENTS = ['yes', 'no', 'unknown'] as const
export const STIMULI = ['brush', 'touch', 'vibration', 'electrical', 'movement'] as const
export const DONE_BY = ['clinician', 'family', 'self'] as const
export const REACTIONS = [
  'none',
  'skin',
  'distress',
  'vomiting',
  'colour',
  'breathing',
  'seizure',
  'sleepy',
  'other',
] as const
export const RULES = [
  'ambiguous_date',
  'conflicting_duplicate',
  'date_before_birth',
  'duplicate_row',
  'future_date',
  'impossible_date',
  'missing_value',
  'ragged_row',
  'score_out_of_range',
  'unknown_client',
  'unknown_value',
  'unreadable_date',
  'unreadable_number',
] as const
export const OUTCOMES = ['rejected', 'emptied', 'kept'] as const

export type Side = (typeof SIDES)[number]
export type Sex = (typeof SEXES)[number]
export type DischargeReason = (typeof DISCHARGE_REASONS)[number]
export type Caution = (typeof CAUTIONS)[number]
export type Consent = (typeof CONSENTS)[number]
export type Stimulus = (typeof STIMULI)[number]
export type DoneBy = (typeof DONE_BY)[number]
export type Reaction = (typeof REACTIONS)[number]
export type Rule = (typeof RULES)[number]
export type Outcome = (typeof OUTCOMES)[number]
