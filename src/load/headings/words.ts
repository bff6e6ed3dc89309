import type { Unit } from '../guide/guide.ts'

/**
 * What a heading can mean before it is known what its table holds. `date`, `start`, `end`, `target`, `reps`, `seconds`,
 * `person`, `clinician` and `id` become a field of ours by the table's kind ({@link ../plan.ts}).
 */
export type Meaning = keyof typeof HEADING_WORDS

const list = (text: string): readonly string[] => text.split(',').map((phrase) => phrase.trim())

/**
 * Everyday headings, lower case, letters and digits only. Each phrase stands under one meaning: what could mean two
 * things is left to the reading guide.
 */
export const HEADING_WORDS = {
  client_id: list(
    `client, client id, client code, client no, client number, client ref, client reference, clientid, patient,
     patient id, patient code, patient no, patient number, patient ref, participant, participant id, participant code,
     child, child id, child code, person id, case id, case no, case number, case code, service user, service user id,
     subject, subject id, subject code, mrn`,
  ),
  id: list('id'),
  record_id: list(
    `record id, record no, record number, record, recordid, record ref, record key, entry id, entry no, entry number,
     log id, log no, session id, session no, session number, uid, uuid, guid, row id, line id, assessment id, score id, source id,
     source record id, event id`,
  ),
  birth_date: list('birth date, date of birth, birthdate, birth day, birthday, dob, d o b, born, born on'),
  gestation_weeks: list(
    `gestation weeks, gestation, gestation wks, gestation in weeks, gestational age, gestational age weeks,
     gestational age in weeks, gestational weeks, gestational age at birth, weeks gestation, weeks of gestation, weeks at birth,
     completed weeks, completed weeks at birth, gestation at birth, gestation completed weeks, ga, ga weeks, gest weeks, gest age, gest age weeks, gestation age,
     birth gestation, weeks born at`,
  ),
  sex: list('sex, gender, sex at birth'),
  site: list(
    'site, site name, home site, clinic, clinic name, clinic site, location, centre, center, branch',
  ),
  clinician: list(
    `clinician, lead clinician, key clinician, responsible clinician, assigned clinician, named clinician, therapist, lead therapist,
     physiotherapist, occupational therapist, practitioner, key worker, keyworker, clinician initials`,
  ),
  group: list(
    'group, group name, cohort name, cohort, arm, study group, study arm, client group, treatment group, programme group',
  ),
  enrolled_on: list(
    `enrolled on, enrolled, enrolment date, enrollment date, enrolment, enrollment, date enrolled, enrol date, enroll date,
     date of enrolment, date of enrollment, admitted on, admitted, admission date, date of admission, joined on, joined, date joined,
     registered on, registration date, date registered, intake date, date of intake`,
  ),
  discharged_on: list(
    `discharged on, discharged, discharge date, date discharged, date of discharge, discharge, closed on, closure date, date closed,
     exit date, date of exit, left on, date left, leaving date`,
  ),
  discharge_reason: list(
    `discharge reason, reason for discharge, reason of discharge, reason discharged, discharge because, reason, reason for leaving,
     leaving reason, closure reason, reason for closure, exit reason, why discharged`,
  ),
  cautions: list(
    `cautions, caution, precautions, precaution, contraindications, contraindication, contra indications, alerts, medical alerts,
     medical cautions, warnings, safety flags, risk flags, medical flags, clinical cautions`,
  ),
  research_consent: list(
    `research consent, consent, consent to research, consents to research, consent for research, consent research,
     consented to research, research consent given, consent given, consented, research consent status, agrees to research, research`,
  ),
  date: list('date, day, on, when, calendar date, the date, date iso'),
  assessed_on: list(
    `assessed on, assessment date, date assessed, assessed, date of assessment, assessment day, visit date, date of visit, seen on,
     seen, date seen, test date, date of test, date tested, tested on, scored on, date scored, scoring date, exam date,
     examined on, examination date, date of examination, scoring day, date of scoring, date of testing, testing date, review date, reviewed on, date examined, assessment`,
  ),
  done_on: list(
    `done on, session date, date of session, date done, day done, session day, log date, diary date, diary day, exercise date,
     date of exercise, performed on, date performed, carried out on, practice date, home session date, logged for, session start,
     datetime, date time, date and time, timestamp, started at, session started, start datetime, start date time, when done, home exercise date, date of practice, practised on, day of exercise, date exercised, activity date`,
  ),
  starts_on: list(
    `starts on, start date, starts, date started, date of start, start day, programme start, program start, plan start, from date,
     date from, valid from, effective from, first day, begins on, begins, begin date, started on, prescribed from`,
  ),
  ends_on: list(
    `ends on, end date, ends, date ended, date of end, end day, programme end, program end, plan end, to date, date to, until date,
     valid to, valid until, effective to, last day, finish date, finishes on, stop date, stops on, planned end, prescribed until`,
  ),
  start: list('start, from, started, begin, beginning'),
  end: list('end, to, until, till, ended, finish, finished'),
  target: list(
    `target, reflex, reflex name, reflex code, reflex tested, reflex assessed, reflex scored, reflex examined, reflex trained, reflex targeted,
     reflex worked on, reflex exercised, target reflex, target code, target name, target of exercise, exercise target, exercise,
     exercise name, exercise for, exercise done, activity, worked on, works on, primitive reflex, treatment target`,
  ),
  side: list(
    `side, sides, l r, r l, left right, right left, left or right, side l r, side of body, body side, laterality, which side, side tested,
     side worked, side assessed, side stimulated, side treated`,
  ),
  score: list(
    `score, reflex score, score given, retention score, response score, grade, reflex grade, grade given, rating, reflex rating, severity,
     severity score, score value, test score, assessment score, result, reflex result, test result, result score, points, mark`,
  ),
  scale_max: list(
    `scale max, scale maximum, max score, maximum score, score max, score maximum, scale, scale top, top of scale, top of the scale, out of,
     max, maximum, highest score, highest possible score, scale size`,
  ),
  rater_id: list(
    `rater id, rater, rater code, rater initials, rated by, scored by, scorer, assessed by, assessor, assessor id, assessor code,
     assessor initials, tested by, tester, examiner, examiner id, examiner initials, examined by, graded by, scored by initials`,
  ),
  stimulus: list(
    `stimulus, stimulus type, stimulus used, stimulus kind, stimulus name, stimulus applied, stimulation method, method of stimulation, type of stimulus, kind of stimulus, stimulation, stimulation type,
     stimulation used, type of stimulation, kind of stimulation, stim, stim type, modality, stimulus modality, stimulus given`,
  ),
  sessions_per_day: list(
    `sessions per day, sessions a day, sessions each day, sessions day, sessions daily, daily sessions, no of sessions per day,
     number of sessions per day, times per day, times a day, times daily, times each day, daily frequency, frequency per day,
     per day, prescribed sessions per day, no of sessions daily, sessions prescribed per day, how many times a day, how often a day`,
  ),
  reps: list(
    `reps, rep, repetitions, repetition, repeats, no of reps, no of repetitions, number of reps, number of repetitions, number of repeats,
     rep count, reps count, repetition count, reps done, repetitions done, reps completed, repetitions completed, total reps, how many, how many reps, how many times, strokes, no of strokes, number of strokes, times done`,
  ),
  reps_per_session: list(
    `reps per session, repetitions per session, repeats per session, reps a session, reps each session, repetitions each session,
     reps session, reps each time, repetitions each time, strokes per session, repetitions a session, repetitions session, no of reps per session, number of reps per session, number of repetitions per session,
     prescribed reps, target reps`,
  ),
  intensity: list(
    `intensity, intensity level, intensity setting, level, level used, device level, device setting, device intensity, stimulation level,
     stimulation intensity, stimulus intensity, setting, intensity used, stimulator level, device intensity level, power level, strength level`,
  ),
  time: list(
    `time, time of day, start time, time started, time done, time of session, session time, clock, clock time, done at, time hh mm,
     started at time, local time, exercise time of day, time of exercise, begun at, clock start, exercise time`,
  ),
  done_by: list(
    `done by, carried out by, by whom, performed by, given by, administered by, completed by, delivered by, exercised by, done by whom,
     who did it, who did, session by, conducted by, exercise by, done by who, by who, exercised with, session given by`,
  ),
  person: list('by, who, person'),
  reaction: list(
    `reaction, reactions, reaction seen, reaction observed, reaction noted, reaction to stimulus, observed reaction, any reaction,
     adverse reaction, adverse reactions, adverse event, adverse events, adverse effect, adverse effects, reaction if any, reactions seen, reaction after, reaction afterwards, side effect, side effects, unwanted reaction`,
  ),
  note: list(
    `note, notes, comment, comments, remark, remarks, free text, session note, session notes, notes and comments, diary note, family note,
     family notes, family comments, additional notes, additional comments`,
  ),
} as const satisfies Record<string, readonly string[]>

/** Words for the length of a session, alone or with a unit beside them. */
export const LENGTH_WORDS = list(
  `duration, length, session length, session duration, length of session, duration of session, time spent, how long,
   exercise duration, exercise length, length of time, total time, time taken, dose duration`,
)
/** Words that speak of a length only with a unit beside them. */
export const TIME_TAKEN = list('time, exercise, dose, session, time done, exercise time, session time')
export const UNIT_WORDS: Readonly<Record<string, Unit>> = {
  s: 'seconds',
  sec: 'seconds',
  secs: 'seconds',
  second: 'seconds',
  seconds: 'seconds',
  min: 'minutes',
  mins: 'minutes',
  minute: 'minutes',
  minutes: 'minutes',
  h: 'hours',
  hr: 'hours',
  hrs: 'hours',
  hour: 'hours',
  hours: 'hours',
}
/** What may stand after a unit and says that it is a plan's. */
export const PER_SESSION = list('per session, a session, each session, each time')

/** Left and right as a word of a heading: paired columns. */
export const SIDE_WORDS: Readonly<Record<string, string>> = {
  left: 'left',
  l: 'left',
  lt: 'left',
  right: 'right',
  r: 'right',
  rt: 'right',
  midline: 'midline',
  mid: 'midline',
  both: 'both',
}

/** Names and the like that no table of ours holds: passed over without a word of doubt. */
export const PERSONAL_WORDS = list(
  `name, first name, last name, surname, family name, given name, given names, forename, full name, client name, patient name, child name,
   initials, address, postcode, phone, telephone, mobile, email, e mail, nhs number, age, weekday, weather, device, device id, serial no`,
)
