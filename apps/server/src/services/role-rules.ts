/**
 * Who may log what. Faculty lead and may log every kind; what each other part may is one line here for each kind, so that
 * a new kind does not compile until somebody has decided.
 */
import { ARREST_ITEM } from '@breathline/engine';
import type { EventBody, EventKind, LearnerControls, RunEvent } from '@breathline/engine';
import type { Role } from '@breathline/protocol';

/** Everyone but the lead. */
export type OtherRole = Exclude<Role, 'faculty'>;

/** What a part may look at to decide. */
export interface RoleContext {
  readonly log: readonly RunEvent[];
  /** Who asks, as the log names them. */
  readonly seat: string;
  /** What faculty let learners press. */
  readonly learnersMay: () => LearnerControls;
}

type Of<K extends EventKind> = Extract<EventBody, { kind: K }>;
/** True: always. Otherwise: when it holds. */
type Permit<K extends EventKind> = true | ((body: Of<K>, context: RoleContext, role: OtherRole) => boolean);
type Line<K extends EventKind> = { readonly [R in OtherRole]?: Permit<K> };

/** A line of the log that this very seat wrote, in this part. */
const own = (targetSeq: number, { log, seat }: RoleContext, role: OtherRole): boolean => {
  const by = log[targetSeq - 1]?.by;
  return by !== undefined && by.role === role && by.seat === seat;
};

const NOBODY_ELSE = {};
const LOGGER = { logger: true } as const;
const LOGGER_AND_PARTICIPANT = { logger: true, participant: true } as const;
const CREW = { logger: true, observer: true, participant: true } as const;
/** An undo of one's own slip; never of another's line. */
const OWN_UNDO = (body: Of<'event-withdrawn'>, context: RoleContext, role: OtherRole) =>
  own(body.targetSeq, context, role);
/** Anyone may call a halt for a person's sake; other pauses are the lead's. */
const FOR_A_PERSON = ({ why }: Of<'run-paused'>) => why === 'someone-not-all-right';
/** The longest a learner's press keeps alarms quiet, ms (common practice of bedside monitors, no source). */
const LONGEST_SILENCE_MS = 120_000;

const ROLE_RULES: { readonly [K in EventKind]: Line<K> } = {
  'run-started': NOBODY_ELSE,
  'run-paused': { logger: FOR_A_PERSON, observer: FOR_A_PERSON, participant: FOR_A_PERSON },
  'run-resumed': NOBODY_ELSE,
  'run-ended': NOBODY_ELSE,
  'real-emergency-stop': { ...CREW, monitor: true },
  'real-emergency-cleared': NOBODY_ELSE,
  intervention: LOGGER,
  'intervention-stopped': LOGGER,
  assessment: LOGGER,
  'device-attached': { logger: true, monitor: (_body, { learnersMay }) => learnersMay().probes },
  'device-removed': LOGGER,
  'cuff-pressed': { logger: true, monitor: (_body, { learnersMay }) => learnersMay().cuff },
  'cuff-interval': LOGGER,
  'cue-spoken': LOGGER_AND_PARTICIPANT,
  'state-forced': NOBODY_ELSE,
  'faculty-flag': NOBODY_ELSE,
  'vital-overridden': NOBODY_ELSE,
  'vital-released': NOBODY_ELSE,
  note: LOGGER,
  mark: { logger: true, observer: true },
  'mark-named': { logger: true, observer: (body, context, role) => own(body.targetSeq, context, role) },
  'act-amended': { logger: (body, context, role) => own(body.targetSeq, context, role) },
  reconciled: LOGGER,
  // Whether the heart may stop by itself is for faculty to agree.
  'prebrief-item': { logger: ({ item }) => item !== ARREST_ITEM },
  'event-withdrawn': { logger: OWN_UNDO, observer: OWN_UNDO, participant: OWN_UNDO },
  'course-steered': NOBODY_ELSE,
  'course-released': NOBODY_ELSE,
  'other-action': LOGGER,
  'wound-back': NOBODY_ELSE,
  'speed-changed': NOBODY_ELSE,
  'behaviour-ticked': { logger: true, observer: true },
  comment: CREW,
  'request-made': LOGGER_AND_PARTICIPANT,
  'request-met': LOGGER,
  'family-distress': LOGGER_AND_PARTICIPANT,
  'family-history-told': LOGGER_AND_PARTICIPANT,
  'family-worry': LOGGER_AND_PARTICIPANT,
  'family-with': LOGGER_AND_PARTICIPANT,
  'errand-sent': LOGGER,
  'errand-ended': LOGGER,
  'system-problem': CREW,
  'seat-changed': LOGGER,
  handover: LOGGER,
  'sound-changed': NOBODY_ELSE,
  'sound-played': NOBODY_ELSE,
  'alarm-paused': {
    monitor: ({ forMs }, { learnersMay }) => learnersMay().silence && forMs <= LONGEST_SILENCE_MS,
  },
  'alarm-limit': NOBODY_ELSE,
  'learner-controls': NOBODY_ELSE,
  'exhibit-shown': NOBODY_ELSE,
  'exhibit-hidden': NOBODY_ELSE,
  listening: NOBODY_ELSE,
  // Whoever acts the family may ask as the family; a phone that rings and kit that fails are the lead's to send.
  happening: { participant: ({ what }) => what === 'family-question' },
  'arrest-decided': NOBODY_ELSE,
  'findings-said': LOGGER,
  'conclusion-spoken': LOGGER,
  'observation-chosen': LOGGER,
  'line-adjusted': NOBODY_ELSE,
  'circumstance-told': LOGGER,
  'objective-judged': NOBODY_ELSE,
  'debrief-note': LOGGER,
  'debrief-phase': NOBODY_ELSE,
};

/** Whether a part may log this now; phases and sense are checked elsewhere. */
export const mayLog = <K extends EventKind>(role: Role, body: Of<K>, context: RoleContext): boolean => {
  if (role === 'faculty') return true;
  const permit = (ROLE_RULES[body.kind] as Line<K>)[role];
  return permit === true || (permit !== undefined && permit(body, context, role));
};
