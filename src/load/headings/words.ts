import type { Unit } from '../guide/guide.ts'

/**
 * What a heading can mean before it is known what its table holds. `date`, `start`, `end`, `target`, `reps`, `seconds`,
 * `person`, `clinician` and `id` become a field of ours by the table's kind ({@link ../plan.ts}).
 */
export type Meaning = keyof typeof HEADING_WORDS

const list = (text: string): readonly string[] => text.split(',').map((phrase) => phrase.trim())
/** Every phrase of the first with every one of the second after it: `each('date, day', 'rated')`. */
const each = (firsts: string, seconds: string): readonly string[] =>
  list(firsts).flatMap((first) => list(seconds).map((second) => `${first} ${second}`))

const PEOPLE = 'client, patient, child, participant, subject, person'
const NUMBERS = 'id, code, no, number, ref, reference, identifier, key'
/** What is done to a reflex when it is scored. */
const ASSESSED = 'assessed, scored, rated, graded, tested, examined, evaluated, observed, measured'
/** What is done with an exercise. */
const DONE = 'done, performed, carried out, given, led, undertaken, executed, provided, applied, conducted'

/**
 * Everyday headings, lower case, letters and digits only. Each phrase stands under one meaning: what could mean two
 * things is left to the reading guide.
 */
export const HEADING_WORDS = {
  client_id: [
    ...list(
      `client, client id, client code, client no, client number, client ref, client reference, clientid, patient,
     patient id, patient code, patient no, patient number, patient ref, participant, participant id, participant code,
     child, child id, child code, person id, case id, case no, case number, case code, service user, service user id,
     subject, subject id, subject code, mrn`,
    ),
    ...each(PEOPLE, NUMBERS),
    ...list('case, case reference, id of client, record of client, pt id, client id code'),
  ],
  id: list('id'),
  record_id: [
    ...list(
      `record id, record no, record number, record, recordid, record ref, record key, entry id, entry no, entry number,
     log id, log no, session id, session no, session number, uid, uuid, guid, row id, line id, assessment id, score id, source id,
     source record id, event id`,
    ),
    ...each(
      'record, entry, log, log entry, app, app record, app entry, log record, session record, diary entry, export, source, source record',
      NUMBERS,
    ),
    ...list(
      'unique id, unique identifier, unique record id, unique entry id, entry key, record uid, record uuid, entry uid, record guid',
    ),
  ],
  birth_date: [
    ...list('birth date, date of birth, birthdate, birth day, birthday, dob, d o b, born, born on'),
    ...list('date born'),
    ...each(PEOPLE, 'birth date, date of birth, dob'),
  ],
  gestation_weeks: [
    ...list(
      `gestation weeks, gestation, gestation wks, gestation in weeks, gestational age, gestational age weeks,
     gestational age in weeks, gestational weeks, gestational age at birth, weeks gestation, weeks of gestation, weeks at birth,
     completed weeks, completed weeks at birth, gestation at birth, gestation completed weeks, ga, ga weeks, gest weeks, gest age, gest age weeks, gestation age,
     birth gestation, weeks born at`,
    ),
    ...list(
      'weeks of pregnancy, pregnancy weeks, weeks pregnant at birth, gestational weeks at birth, gestation at birth in weeks, gestation at birth weeks, weeks gestation at birth, gestational age at birth weeks',
    ),
  ],
  sex: [
    ...list('sex, gender, sex at birth'),
    ...each(PEOPLE, 'sex, gender'),
    ...list(
      'm f, f m, sex recorded, sex registered, sex registered at birth, sex assigned at birth, registered sex',
    ),
  ],
  site: [
    ...list('site, site name, home site, clinic, clinic name, clinic site, location, centre, center, branch'),
    ...list(
      'clinic location, site of care, treatment site, treatment centre, treatment center, attending site, service site, home clinic, care site, site attended, clinic attended',
    ),
  ],
  clinician: [
    ...list(
      `clinician, lead clinician, key clinician, responsible clinician, assigned clinician, named clinician, therapist, lead therapist,
     physiotherapist, occupational therapist, practitioner, key worker, keyworker, clinician initials`,
    ),
    ...each(
      'main, primary, treating, case, own, key, named, responsible, assigned, lead',
      'clinician, therapist, practitioner, physiotherapist',
    ),
    ...list('clinician in charge, clinician responsible, clinician name, therapist name, therapist initials'),
  ],
  group: [
    ...list(
      'group, group name, cohort name, cohort, arm, study group, study arm, client group, treatment group, programme group',
    ),
    ...list(
      'trial arm, treatment arm, allocation, allocated group, comparison group, research group, trial group, group allocated',
    ),
  ],
  enrolled_on: [
    ...list(
      `enrolled on, enrolled, enrolment date, enrollment date, enrolment, enrollment, date enrolled, enrol date, enroll date,
     date of enrolment, date of enrollment, admitted on, admitted, admission date, date of admission, joined on, joined, date joined,
     registered on, registration date, date registered, intake date, date of intake`,
    ),
    ...list(
      'registered, date of start of care, care started on, accepted on, date accepted, enrolled from, enrolled since, client since, date of joining, joining date, start of care, care start, care start date',
    ),
  ],
  discharged_on: [
    ...list(
      `discharged on, discharged, discharge date, date discharged, date of discharge, discharge, closed on, closure date, date closed,
     exit date, date of exit, left on, date left, leaving date`,
    ),
    ...list('closed, date of leaving, end of care, care end, care ended on, care end date, date of closure'),
  ],
  discharge_reason: [
    ...list(
      `discharge reason, reason for discharge, reason of discharge, reason discharged, discharge because, reason, reason for leaving,
     leaving reason, closure reason, reason for closure, exit reason, why discharged`,
    ),
    ...each('reason', 'left, closed, for closing, of leaving, ended, for ending'),
    ...each('why', 'left, closed, leaving, discharge, stopped'),
    ...list('discharged because, cause of discharge, discharge cause'),
  ],
  cautions: [
    ...list(
      `cautions, caution, precautions, precaution, contraindications, contraindication, contra indications, alerts, medical alerts,
     medical cautions, warnings, safety flags, risk flags, medical flags, clinical cautions`,
    ),
    ...each('safety, known, recorded, clinical, medical', 'cautions, alerts, precautions, contraindications'),
    ...list(
      'caution flags, cautions on record, cautions and alerts, caution list, cautions noted, list of cautions, alert flags, caution codes',
    ),
  ],
  research_consent: [
    ...list(
      `research consent, consent, consent to research, consents to research, consent for research, consent research,
     consented to research, research consent given, consent given, consented, research consent status, agrees to research, research`,
    ),
    ...list(
      'agreed to research, study consent, consent to study, consent for study, consents to study, research permission, permission for research, agreement to research, research agreement, willing for research, research ok, takes part in research, consent to take part in research',
    ),
  ],
  date: list('date, day, on, when, calendar date, the date, date iso'),
  assessed_on: [
    ...list(
      `assessed on, assessment date, date assessed, assessed, date of assessment, assessment day, visit date, date of visit, seen on,
     seen, date seen, test date, date of test, date tested, tested on, scored on, date scored, scoring date, exam date,
     examined on, examination date, date of examination, scoring day, date of scoring, date of testing, testing date, review date, reviewed on, date examined, assessment`,
    ),
    ...each(ASSESSED, 'on, date, day'),
    ...each('date, day', ASSESSED),
    ...each('evaluation, rating, grading, measurement, observation, score', 'date, day'),
    ...each('date of', 'rating, grading, evaluation, measurement, observation, score'),
    ...list('assessment on, assessment made on, day of the visit, visit day'),
  ],
  done_on: [
    ...list(
      `done on, session date, date of session, date done, day done, session day, log date, diary date, diary day, exercise date,
     date of exercise, performed on, date performed, carried out on, practice date, home session date, logged for, session start,
     datetime, date time, date and time, timestamp, started at, session started, start datetime, start date time, when done, home exercise date, date of practice, practised on, day of exercise, date exercised, activity date`,
    ),
    ...each('performed, practised, practiced, exercised, carried out, given, delivered', 'on, date, day'),
    ...each('date, day', 'performed, practised, practiced, exercised, carried out, given, delivered'),
    ...list(
      'session date and time, date and time of session, session date time, session datetime, start date and time, date and time done, done at date and time, started date and time, session on, day carried out, session took place on',
    ),
  ],
  starts_on: [
    ...list(
      `starts on, start date, starts, date started, date of start, start day, programme start, program start, plan start, from date,
     date from, valid from, effective from, first day, begins on, begins, begin date, started on, prescribed from`,
    ),
    ...list(
      'starting, starting date, starting on, starting day, starts from, beginning on, beginning date, date begun, begun on, running from, runs from, commenced, commenced on, commences, commencement date, date commenced, in force from, programme start date, program start date, plan start date, programme begins, programme starts, programme from, date of beginning',
    ),
  ],
  ends_on: [
    ...list(
      `ends on, end date, ends, date ended, date of end, end day, programme end, program end, plan end, to date, date to, until date,
     valid to, valid until, effective to, last day, finish date, finishes on, stop date, stops on, planned end, prescribed until`,
    ),
    ...list(
      'finishes, ending, ending date, ending on, ending day, ended on, ends at, stops, planned end date, end planned, runs until, runs to, running until, running to, prescribed to, finished on, programme end date, program end date, plan end date, programme ends, programme until, in force until, in force to, date of finish',
    ),
  ],
  start: list('start, from, started, begin, beginning'),
  end: list('end, to, until, till, ended, finish, finished'),
  target: [
    ...list(
      `target, reflex, reflex name, reflex code, reflex tested, reflex assessed, reflex scored, reflex examined, reflex trained, reflex targeted,
     reflex worked on, reflex exercised, target reflex, target code, target name, target of exercise, exercise target, exercise,
     exercise name, exercise for, exercise done, activity, worked on, works on, primitive reflex, treatment target`,
    ),
    ...each('reflex', ASSESSED),
    ...each('reflex', 'practised, stimulated, treated, exercised, trained, targeted, type'),
    ...list(
      'which reflex, target of session, session target, programme target, plan target, what was worked on, target of stimulation, reflex or target, target or reflex, reflex or ear stimulation, area worked on',
    ),
  ],
  side: [
    ...list(
      `side, sides, l r, r l, left right, right left, left or right, side l r, side of body, body side, laterality, which side, side tested,
     side worked, side assessed, side stimulated, side treated`,
    ),
    ...each('side', ASSESSED),
    ...each(
      'side',
      'done, used, exercised, practised, trained, stimulated, treated, of body tested, l r m, l r mid',
    ),
    ...list(
      'l or r, l r m, l r mid, r l m, left right midline, left right mid, left right or midline, left right both, body side tested, side left right midline',
    ),
  ],
  score: [
    ...list(
      `score, reflex score, score given, retention score, response score, grade, reflex grade, grade given, rating, reflex rating, severity,
     severity score, score value, test score, assessment score, result, reflex result, test result, result score, points, mark`,
    ),
    ...list(
      'strength of response, response strength, strength score, retention grade, reflex response score, reflex rating score, response grade, reflex strength',
    ),
  ],
  scale_max: [
    ...list(
      `scale max, scale maximum, max score, maximum score, score max, score maximum, scale, scale top, top of scale, top of the scale, out of,
     max, maximum, highest score, highest possible score, scale size`,
    ),
    ...list(
      'max on scale, scale upper end, upper end of scale, score out of, top score, scale limit, max possible score, maximum possible score, best possible score, highest possible, upper limit of scale, highest on scale, scale end, scale runs to, scale to',
    ),
  ],
  rater_id: [
    ...list(
      `rater id, rater, rater code, rater initials, rated by, scored by, scorer, assessed by, assessor, assessor id, assessor code,
     assessor initials, tested by, tester, examiner, examiner id, examiner initials, examined by, graded by, scored by initials`,
    ),
    ...each(ASSESSED, 'by, by initials'),
    ...each('who', ASSESSED),
    ...each('evaluator, observer, assessor, examiner, tester, scorer, rater', 'id, code, initials, name'),
    ...each('scoring, assessing, rating, testing', 'clinician, therapist'),
    ...list('evaluator, observer, grader, initials of rater, initials of assessor'),
  ],
  stimulus: [
    ...list(
      `stimulus, stimulus type, stimulus used, stimulus kind, stimulus name, stimulus applied, stimulation method, method of stimulation, type of stimulus, kind of stimulus, stimulation, stimulation type,
     stimulation used, type of stimulation, kind of stimulation, stim, stim type, modality, stimulus modality, stimulus given`,
    ),
    ...each('stimulated', 'with, by'),
    ...each('sensory', 'stimulus, stimulation'),
    ...each('form of, mode of, sort of, which, what', 'stimulus, stimulation'),
    ...list(
      'stimulation mode, stimulation kind, stimulation form, stimulation given, stimulation applied, stimulus form, stimulus sort',
    ),
  ],
  sessions_per_day: [
    ...list(
      `sessions per day, sessions a day, sessions each day, sessions day, sessions daily, daily sessions, no of sessions per day,
     number of sessions per day, times per day, times a day, times daily, times each day, daily frequency, frequency per day,
     per day, prescribed sessions per day, no of sessions daily, sessions prescribed per day, how many times a day, how often a day`,
    ),
    ...each(
      'times, sessions, how often, how many times, frequency, number, planned sessions, sessions planned, prescribed times',
      'per day, a day, every day, day',
    ),
    ...each('daily', 'number of sessions, times, number of times, session count'),
    ...list(
      'x per day, sessions in a day, sessions for each day, how many sessions a day, sessions per 24 h, sessions to do per day',
    ),
  ],
  reps: [
    ...list(
      `reps, rep, repetitions, repetition, repeats, no of reps, no of repetitions, number of reps, number of repetitions, number of repeats,
     rep count, reps count, repetition count, reps done, repetitions done, reps completed, repetitions completed, total reps, how many, how many reps, how many times, strokes, no of strokes, number of strokes, times done`,
    ),
    ...list(
      'repeat count, n reps, number of times done, how many repetitions, how many repeats, repeated, times repeated, count of reps, count of repetitions, n of reps, reps n',
    ),
    ...each('reps, repetitions, repeats', 'performed, made, counted, carried out, given, achieved'),
  ],
  reps_per_session: [
    ...list(
      `reps per session, repetitions per session, repeats per session, reps a session, reps each session, repetitions each session,
     reps session, reps each time, repetitions each time, strokes per session, repetitions a session, repetitions session, no of reps per session, number of reps per session, number of repetitions per session,
     prescribed reps, target reps`,
    ),
    ...each('planned, prescribed', 'reps, repetitions, repeats'),
    ...each(
      'reps, repetitions, repeats',
      'planned, prescribed, to do, at each session, in each session, for each session, every session, in a session, in session, per sitting',
    ),
  ],
  intensity: [
    ...list(
      `intensity, intensity level, intensity setting, level, level used, device level, device setting, device intensity, stimulation level,
     stimulation intensity, stimulus intensity, setting, intensity used, stimulator level, device intensity level, power level, strength level`,
    ),
    ...each('device, machine, stimulator, apparatus', 'level, setting, intensity'),
    ...each(
      'level, setting, intensity',
      'on device, of device, on the machine, set, of stimulus, of stimulation',
    ),
    ...list(
      'stimulus level, stimulus strength, stimulation strength, device s own level, device own level, level number',
    ),
  ],
  time: [
    ...list(
      `time, time of day, start time, time started, time done, time of session, session time, clock, clock time, done at, time hh mm,
     started at time, local time, exercise time of day, time of exercise, begun at, clock start, exercise time`,
    ),
    ...each('begin, beginning, starting, session start, exercise start', 'time'),
    ...each(
      'time',
      'begun, at start, started, carried out, performed, given, of start, of starting, practised',
    ),
    ...list(
      'at time, at what time, hour of day, hour of the day, time on clock, time of the day, clock time started, what time',
    ),
  ],
  done_by: [
    ...list(
      `done by, carried out by, by whom, performed by, given by, administered by, completed by, delivered by, exercised by, done by whom,
     who did it, who did, session by, conducted by, exercise by, done by who, by who, exercised with, session given by`,
    ),
    ...each(DONE, 'by, by whom, by who'),
    ...each('session, exercise', 'done by, led by, carried out by, performed by, run by'),
    ...each(
      'who',
      'carried it out, gave it, did the session, performed it, did the exercise, performed, led, carried out',
    ),
    ...list('person doing it, carried out by whom'),
  ],
  person: list('by, who, person'),
  reaction: [
    ...list(
      `reaction, reactions, reaction seen, reaction observed, reaction noted, reaction to stimulus, observed reaction, any reaction,
     adverse reaction, adverse reactions, adverse event, adverse events, adverse effect, adverse effects, reaction if any, reactions seen, reaction after, reaction afterwards, side effect, side effects, unwanted reaction`,
    ),
    ...each(PEOPLE, 'reaction, reactions'),
    ...each(
      'reaction',
      'to session, to exercise, to stimulation, to it, shown, recorded, reported, in session, during session, to the session, afterwards, then, found',
    ),
    ...list(
      'how they reacted, how reacted, how child reacted, adverse effects seen, adverse reaction seen, adverse event seen, unwanted effects, unwanted effect, unwanted reactions',
    ),
  ],
  note: [
    ...list(
      `note, notes, comment, comments, remark, remarks, free text, session note, session notes, notes and comments, diary note, family note,
     family notes, family comments, additional notes, additional comments`,
    ),
    ...each(
      'free text, other, further, extra, any, any other, parent, parents, carer, carers, family, home, additional, log, clinic, general',
      'note, notes, comment, comments, remark, remarks',
    ),
    ...each('session, diary, exercise', 'comment, comments, remark, remarks'),
    ...each(
      'note, notes, comment, comments, remark, remarks',
      'from family, of family, by family, to clinic, free text, on session, if any',
    ),
    ...list('notes comments, comments notes, freetext, note text, anything else, memo'),
  ],
} as const satisfies Record<string, readonly string[]>

/** Words for the length of a session, alone or with a unit beside them. */
export const LENGTH_WORDS = list(
  `duration, length, session length, session duration, length of session, duration of session, time spent, how long,
   exercise duration, exercise length, length of time, total time, time taken, dose duration`,
)
/** Words that speak of a length only with a unit beside them. */
export const TIME_TAKEN = list(
  `time, exercise, dose, session, time done, exercise time, session time, lasted, lasts, number, number of, no, no of, total, stimulation,
   stimulation time, time on task`,
)
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
export const PER_SESSION = list(
  'per session, a session, each session, each time, in each session, every session, per sitting, planned, prescribed',
)

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
export const PERSONAL_WORDS = [
  ...each(
    PEOPLE,
    'first name, last name, surname, family name, given name, forename, full name, name, initials',
  ),
  ...list(
    `name, first name, last name, surname, family name, given name, given names, forename, full name, christian name,
   initials, address, postcode, phone, telephone, mobile, email, e mail, nhs number, age, weekday, weather, device, device id, serial no`,
  ),
]
