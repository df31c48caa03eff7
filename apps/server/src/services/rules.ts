/**
 * May this be logged now? Answers with a refusal, or with inline cautions for what is unusual but will be logged as given.
 * Log-type commands are taken whenever they make sense; only what contradicts the run itself is refused.
 */
import {
  commandWarnings,
  convertAmount,
  isAmendable,
  isWithdrawable,
  STEP_MS,
  takesOf,
  type CommandWarning,
  type EventBody,
  type EventKind,
  type RunDefinition,
  type RunEvent,
  type RunPhase,
  type RunView,
} from '@breathline/engine';
import { circumstancesOf, type Intervention } from '@breathline/scenario';
import { STEERING_KINDS, type Role } from '@breathline/protocol';
import { Refusal } from '../refusal.ts';
import { mayLog } from './role-rules.ts';

/** What the rules may look at. */
export interface RuleContext {
  readonly role: Role;
  /** Who asks, as the log names them. */
  readonly seat: string;
  readonly phase: RunPhase;
  readonly realEmergency: boolean;
  readonly definition: RunDefinition;
  readonly log: readonly RunEvent[];
  readonly withdrawn: ReadonlySet<number>;
  /** Pictures kept for this run. */
  readonly photos: ReadonlySet<string>;
  /** Whether a line of the log is part of the take being played. */
  readonly counts: (seq: number) => boolean;
  /** Whether it was part of the take that was played when the tap was made, which may have waited. */
  readonly countedThen: (seq: number) => boolean;
  /** How long the run has stood still because the server was away, ms; null when it does not wait for that. */
  readonly awayMs: number | null;
  /** The run now; asked for only where a caution needs it. */
  readonly view: () => RunView;
}

/** In which phases each kind may be logged. */
const PHASES: Readonly<Record<EventKind, readonly RunPhase[]>> = {
  'run-started': ['ready'],
  'run-paused': ['running'],
  'run-resumed': ['paused'],
  'run-ended': ['ready', 'running', 'paused'],
  'real-emergency-stop': ['ready', 'running', 'paused', 'ended'],
  'real-emergency-cleared': ['ready', 'running', 'paused', 'ended'],
  intervention: ['running', 'paused'],
  'intervention-stopped': ['running', 'paused'],
  assessment: ['running', 'paused'],
  'device-attached': ['ready', 'running', 'paused'],
  'device-removed': ['ready', 'running', 'paused'],
  'cuff-pressed': ['ready', 'running', 'paused'],
  'cuff-interval': ['ready', 'running', 'paused'],
  'cue-spoken': ['running', 'paused'],
  'state-forced': ['running', 'paused'],
  'faculty-flag': ['running', 'paused'],
  'vital-overridden': ['running', 'paused'],
  'vital-released': ['running', 'paused'],
  note: ['ready', 'running', 'paused', 'ended'],
  mark: ['ready', 'running', 'paused', 'ended'],
  'mark-named': ['ready', 'running', 'paused', 'ended'],
  'act-amended': ['running', 'paused'],
  reconciled: ['running', 'paused', 'ended'],
  'prebrief-item': ['ready', 'running', 'paused', 'ended'],
  'event-withdrawn': ['ready', 'running', 'paused', 'ended'],
  'course-steered': ['running', 'paused'],
  'course-released': ['running', 'paused'],
  'other-action': ['running', 'paused'],
  'wound-back': ['running', 'paused', 'ended'],
  'speed-changed': ['ready', 'running', 'paused'],
  'behaviour-ticked': ['running', 'paused', 'ended'],
  comment: ['ready', 'running', 'paused', 'ended'],
  'request-made': ['running', 'paused'],
  'request-met': ['running', 'paused'],
  'family-distress': ['running', 'paused'],
  'family-history-told': ['running', 'paused'],
  'family-worry': ['running', 'paused'],
  'family-with': ['running', 'paused'],
  'errand-sent': ['running', 'paused'],
  'errand-ended': ['running', 'paused'],
  'system-problem': ['ready', 'running', 'paused', 'ended'],
  'seat-changed': ['ready', 'running', 'paused'],
  handover: ['running', 'paused', 'ended'],
  'sound-changed': ['ready', 'running', 'paused', 'ended'],
  'sound-played': ['ready', 'running', 'paused'],
  'alarm-paused': ['running', 'paused'],
  'alarm-limit': ['ready', 'running', 'paused'],
  'learner-controls': ['ready', 'running', 'paused'],
  'exhibit-shown': ['ready', 'running', 'paused', 'ended'],
  'exhibit-hidden': ['ready', 'running', 'paused', 'ended'],
  listening: ['ready', 'running', 'paused'],
  happening: ['running', 'paused'],
  'arrest-decided': ['running', 'paused'],
  'findings-said': ['running', 'paused'],
  'conclusion-spoken': ['running', 'paused'],
  'observation-chosen': ['running', 'paused', 'ended'],
  'line-adjusted': ['ended'],
  'circumstance-told': ['ended'],
  'objective-judged': ['ended'],
  'debrief-note': ['running', 'paused', 'ended'],
  'debrief-phase': ['ended'],
};

/** Kinds after which the phase, or what is blank, may differ: one at a time. */
export const PHASE_KINDS: ReadonlySet<EventKind> = new Set<EventKind>([
  'run-started',
  'run-paused',
  'run-resumed',
  'run-ended',
  'real-emergency-stop',
  'real-emergency-cleared',
  'event-withdrawn',
  'wound-back',
]);

/**
 * Kinds that mean the moment they arrive, however long they waited on a screen: they are about the clock, or about what
 * screens show and sound like. All others are about what happened in the room.
 */
export const ACTS_NOW: ReadonlySet<EventKind> = new Set<EventKind>([
  // An undo may end a pause or a run, but it is about a line: it belongs to the moment it was pressed.
  ...[...PHASE_KINDS].filter((kind) => kind !== 'event-withdrawn'),
  ...STEERING_KINDS,
  'speed-changed',
  'sound-changed',
  'sound-played',
  'alarm-paused',
  'alarm-limit',
  'learner-controls',
  'exhibit-shown',
  'exhibit-hidden',
  'listening',
  'seat-changed',
]);

/** Events that moved the clock stay. Ending may be taken back (a mis-tap), and so may an undo. */
const canBeWithdrawn = (event: RunEvent): boolean => isWithdrawable(event) && event.kind !== 'speed-changed';

/** After the end the patient is not to change any more; words, answers and the ending itself may still be taken back. */
const WITHDRAWABLE_AFTER_END: ReadonlySet<EventKind> = new Set<EventKind>([
  'run-ended',
  'note',
  'mark',
  'mark-named',
  'reconciled',
  'circumstance-told',
  'prebrief-item',
  'comment',
  'behaviour-ticked',
  'system-problem',
  'handover',
]);

/** What may be asked of a line that another take left behind: words about it, which change no patient. */
const WORDS: ReadonlySet<EventKind> = new Set<EventKind>(
  [...WITHDRAWABLE_AFTER_END].filter((kind) => kind !== 'run-ended'),
);

const PHASE_WORDS: Readonly<Record<RunPhase, string>> = {
  ready: 'has not started',
  running: 'is running',
  paused: 'is paused',
  ended: 'has ended',
};

const HINTS: Partial<Record<EventKind, string>> = {
  intervention: 'Start the run first; after the end, use the reconcile step.',
  'run-resumed': 'Only a paused run can be resumed.',
};

const CLEAR_FIRST = 'Clear the stop first.';

const interventionOf = ({ definition }: RuleContext, id: string): Intervention => {
  const found = definition.library.interventions.find((intervention) => intervention.id === id);
  if (!found) throw new Refusal('unknown-intervention', `The formulary of this run has no "${id}".`);
  return found;
};

const unknown = (what: string, id: string | number): never => {
  throw new Refusal('unknown-target', `This run has no ${what} "${id}".`);
};

/** An amount must say of what; how much is never refused, only cautioned. */
const checkUnit = (
  intervention: Intervention,
  { amount, unit }: Extract<EventBody, { kind: 'intervention' }>,
): void => {
  if (amount === null || intervention.unit === undefined) return;
  if (unit === undefined || unit === '') {
    throw new Refusal(
      'dose-without-unit',
      `${intervention.name}: ${amount} of what? Expected an amount in ${intervention.unit}.`,
    );
  }
  if (convertAmount(amount, unit, intervention.unit) === null) {
    throw new Refusal(
      'wrong-unit',
      `${intervention.name} is given in ${intervention.unit}; found ${unit.slice(0, 30)}.`,
    );
  }
};

const checkWithdrawal = ({ log, withdrawn, phase, counts, countedThen }: RuleContext, seq: number): void => {
  const target = log[seq - 1];
  if (!target) return unknown('log line', seq);
  if (withdrawn.has(seq)) throw new Refusal('not-withdrawable', 'That line has been withdrawn already.');
  if (!canBeWithdrawn(target)) throw new Refusal('not-withdrawable');
  if (!counts(seq) && !countedThen(seq) && !WORDS.has(target.kind)) {
    throw new Refusal('not-withdrawable', 'That line belongs to a take that was left: it changes nothing of this one.');
  }
  if (phase === 'ended' && !WITHDRAWABLE_AFTER_END.has(target.kind)) {
    throw new Refusal('not-withdrawable', 'The run has ended: what the patient got can not be taken back any more.');
  }
};

const checkWoundBack = (
  { view, realEmergency, phase }: RuleContext,
  { toMs, fromTake }: Extract<EventBody, { kind: 'wound-back' }>,
): void => {
  if (realEmergency) throw new Refusal('wrong-phase', 'A real emergency has been called.', { hint: CLEAR_FIRST });
  const { live, pausedWhy } = view();
  if (phase === 'paused' && pausedWhy === 'someone-not-all-right') {
    throw new Refusal('wrong-phase', 'The run is paused because someone is not all right.', {
      hint: 'Resume first, when they are.',
    });
  }
  const from = live?.takes.find(({ take }) => take === fromTake);
  if (!from) return unknown('take', fromTake);
  if (toMs % STEP_MS !== 0) {
    throw new Refusal('bad-shape', `toMs is ${toMs}: expected a whole number of ${STEP_MS} ms steps.`);
  }
  if (toMs > from.toMs) {
    throw new Refusal(
      'unknown-target',
      `Take ${fromTake} went to ${Math.floor(from.toMs / 1_000)} s; ${Math.round(toMs / 1_000)} s is past its end.`,
      { hint: 'Choose a moment that was played.' },
    );
  }
};

const checkGap = ({ awayMs }: RuleContext, { gapMs }: Extract<EventBody, { kind: 'run-resumed' }>): void => {
  if (gapMs === undefined || gapMs === 0) return;
  if (awayMs === null) {
    throw new Refusal('wrong-phase', 'The run does not wait for the server to come back: there is no gap to count.', {
      hint: 'Resume without it.',
    });
  }
  if (gapMs > awayMs) {
    throw new Refusal('bad-shape', `gapMs is ${gapMs}: the run has stood still for ${Math.floor(awayMs)} ms.`);
  }
};

/** Of the errands and requests of the log, the one a line speaks of. */
const checkTargetKind = ({ log, counts }: RuleContext, seq: number, kind: EventKind, words: string): void => {
  const target = log[seq - 1];
  if (target?.kind !== kind || !counts(seq)) unknown(`${words} at log line`, seq);
};

/** Throws a `Refusal`, or returns the cautions to show beside the acknowledgement. */
export const checkRules = (body: EventBody, context: RuleContext): readonly CommandWarning[] => {
  const { definition, phase, log } = context;
  const { scenario, library } = definition;
  const { seat } = context;
  const learnersMay = () => context.view().live?.learnersMay ?? { cuff: false, silence: false, probes: false };
  if (!mayLog(context.role, body, { log, seat, learnersMay })) throw new Refusal('wrong-role');
  if (body.kind === 'run-paused' && body.why === 'server-restart') {
    throw new Refusal('wrong-role', 'Only the server may say that it restarted.');
  }
  // Somebody may turn out not to be all right while the clock stands for another reason.
  const forPerson = body.kind === 'run-paused' && body.why === 'someone-not-all-right' && phase === 'paused';
  if (!PHASES[body.kind].includes(phase) && !forPerson) {
    throw new Refusal('wrong-phase', `The run ${PHASE_WORDS[phase]}.`, { hint: HINTS[body.kind] });
  }
  if ((body.kind === 'run-resumed' || body.kind === 'run-started') && context.realEmergency) {
    throw new Refusal('wrong-phase', 'A real emergency has been called.', { hint: CLEAR_FIRST });
  }
  if (body.kind === 'real-emergency-cleared' && !context.realEmergency) {
    throw new Refusal('wrong-phase', 'No real emergency has been called.');
  }
  const cautions = () => commandWarnings(definition, context.view(), body);
  switch (body.kind) {
    case 'intervention':
      checkUnit(interventionOf(context, body.intervention), body);
      return cautions();
    case 'intervention-stopped':
    case 'assessment':
      interventionOf(context, body.intervention);
      return cautions();
    case 'state-forced': {
      const thread = scenario.threads.find(({ id }) => id === body.thread);
      if (!thread) return unknown('thread', body.thread);
      if (!thread.states.some(({ id }) => id === body.state)) unknown(`state in "${thread.title}"`, body.state);
      return [];
    }
    case 'cue-spoken':
      if (!scenario.threads.some(({ states }) => states.some(({ cues }) => cues.some(({ id }) => id === body.cue)))) {
        unknown('cue', body.cue);
      }
      return [];
    case 'mark-named':
      if (log[body.targetSeq - 1]?.kind !== 'mark') unknown('mark at log line', body.targetSeq);
      return [];
    case 'act-amended': {
      const act = log[body.targetSeq - 1];
      if (!act || !isAmendable(act, body) || context.withdrawn.has(act.seq)) unknown('act at log line', body.targetSeq);
      return [];
    }
    case 'line-adjusted':
    case 'reconciled':
      if (body.ofTake !== undefined && !takesOf(log).some(({ take }) => take === body.ofTake))
        unknown('take', body.ofTake);
      if (!library.packs.some(({ targets }) => targets.some(({ id }) => id === body.target)))
        unknown('target', body.target);
      return [];
    case 'circumstance-told':
      if (body.ofTake !== undefined && !takesOf(log).some(({ take }) => take === body.ofTake))
        unknown('take', body.ofTake);
      if (!library.packs.some((pack) => circumstancesOf(pack).includes(body.circumstance)))
        unknown('circumstance', body.circumstance);
      return [];
    case 'event-withdrawn':
      checkWithdrawal(context, body.targetSeq);
      return [];
    case 'run-resumed':
      checkGap(context, body);
      return [];
    case 'wound-back':
      checkWoundBack(context, body);
      return [];
    case 'request-met':
      checkTargetKind(context, body.targetSeq, 'request-made', 'request');
      return [];
    case 'errand-ended':
      checkTargetKind(context, body.targetSeq, 'errand-sent', 'call or errand');
      return [];
    case 'behaviour-ticked':
      if (!scenario.behaviours?.some(({ id }) => id === body.behaviour)) unknown('behaviour', body.behaviour);
      return [];
    case 'exhibit-shown':
    case 'exhibit-hidden':
      if (!scenario.exhibits?.some(({ id }) => id === body.exhibit)) unknown('exhibit', body.exhibit);
      return [];
    case 'family-history-told':
      if (!scenario.family.some(({ history }) => history?.some(({ id }) => id === body.item))) {
        unknown('piece of history', body.item);
      }
      return [];
    case 'family-worry':
      if (!scenario.family.some(({ worries }) => worries?.some(({ id }) => id === body.item))) {
        unknown('worry', body.item);
      }
      return [];
    case 'comment':
      if (body.aboutSeq !== undefined && !log[body.aboutSeq - 1]) unknown('log line', body.aboutSeq);
      return [];
    case 'system-problem':
      if (body.photo !== undefined && !context.photos.has(body.photo)) unknown('picture', body.photo);
      return [];
    case 'cuff-pressed':
    case 'cuff-interval':
    case 'faculty-flag':
    case 'vital-overridden':
      return cautions();
    default:
      return [];
  }
};
