/** Lines of the log about what happens around the patient: steering, takes, people, calls, kit, sounds, screens. */
import { ratingOf, type LiveEventBody, type RunEvent } from '@breathline/engine';
import type { Scenario } from '@breathline/scenario';
import { shortLetters } from './findings.ts';
import { idWords, plainNumber, sentence, spanText } from './format.ts';
import type { RowTone } from './logrows.ts';

export interface Words {
  readonly text: string;
  readonly detail: string | null;
  readonly tone: RowTone;
}

const KINDS = {
  'course-steered': true,
  'course-released': true,
  'other-action': true,
  'wound-back': true,
  'speed-changed': true,
  'behaviour-ticked': true,
  comment: true,
  'request-made': true,
  'request-met': true,
  'family-distress': true,
  'family-history-told': true,
  'family-worry': true,
  'family-with': true,
  'errand-sent': true,
  'errand-ended': true,
  'system-problem': true,
  'seat-changed': true,
  handover: true,
  'sound-changed': true,
  'sound-played': true,
  'alarm-paused': true,
  'alarm-limit': true,
  'learner-controls': true,
  'exhibit-shown': true,
  'exhibit-hidden': true,
  listening: true,
  happening: true,
  'arrest-decided': true,
  'findings-said': true,
} as const satisfies Record<LiveEventBody['kind'], true>;

export type LiveEvent = Extract<RunEvent, { kind: LiveEventBody['kind'] }>;

/** Is this one of the events around the patient? */
export function isLive(event: RunEvent): event is LiveEvent {
  return event.kind in KINDS;
}

/** Kinds an undo may take back: what was logged about people and the room. Time and screens are changed, not undone. */
export const LIVE_UNDOABLE: readonly LiveEventBody['kind'][] = [
  'course-steered',
  'course-released',
  'other-action',
  'behaviour-ticked',
  'comment',
  'request-made',
  'request-met',
  'family-distress',
  'family-history-told',
  'family-worry',
  'family-with',
  'errand-sent',
  'errand-ended',
  'system-problem',
  'seat-changed',
  'handover',
  'exhibit-shown',
  'exhibit-hidden',
  'happening',
  'findings-said',
];

const DISTRESS = ['calm', 'worried', 'distressed', 'in the way'] as const;

/** What an errand, a request or a problem was about, found again by its number; null when it is not in this log. */
function about(log: readonly RunEvent[], seq: number): string | null {
  const event = log.find((each) => each.seq === seq);
  if (event?.kind === 'request-made') return event.what;
  if (event?.kind === 'errand-sent') return event.what;
  return null;
}

function contact(scenario: Scenario, id: string): string {
  return scenario.calls?.find((each) => each.id === id)?.title ?? idWords(id);
}

function familyPiece(scenario: Scenario, id: string): string {
  for (const each of scenario.family) {
    const piece = each.history?.find((one) => one.id === id) ?? each.worries?.find((one) => one.id === id);
    if (piece) return piece.says;
  }
  return idWords(id);
}

/** One such event in plain words. `log` is the whole of it, so that an answer can name what it answers. */
export function liveWords(event: LiveEvent, scenario: Scenario, log: readonly RunEvent[]): Words {
  const line = (text: string, detail: string | null, tone: RowTone): Words => ({ text, detail, tone });
  switch (event.kind) {
    case 'course-steered':
      return line(
        event.direction === 'hold' ? 'Patient held as they are' : `Patient steered ${event.direction}`,
        event.direction === 'hold' ? null : event.pace,
        'steer',
      );
    case 'course-released':
      return line('Patient handed back to the model', null, 'steer');
    case 'other-action': {
      const effect = { none: 'no effect', helps: 'helps', harms: 'harms' }[event.effect];
      return line(
        sentence(event.text),
        [effect, event.givenBy && `by ${event.givenBy}`].filter(Boolean).join(' · '),
        'given',
      );
    }
    case 'wound-back':
      return line(
        `Wound back to ${spanText(event.toMs)}: take ${event.take}`,
        event.why ?? `from take ${event.fromTake}`,
        'run',
      );
    case 'speed-changed':
      return line(`Clock at ${plainNumber(event.factor)}×`, null, 'run');
    case 'behaviour-ticked': {
      const says = scenario.behaviours?.find((each) => each.id === event.behaviour)?.says ?? idWords(event.behaviour);
      const rating = ratingOf(event);
      const rated = rating === null ? '' : `, rated ${rating} of 5`;
      return line(says, `${event.seen.replace('-', ' ')}${rated} · observer`, 'look');
    }
    case 'comment':
      return line(
        event.text === '' ? 'Comment (text removed)' : event.text,
        event.about === undefined ? 'comment' : `comment: ${event.about}`,
        'note',
      );
    case 'request-made':
      return line(`Asked for: ${event.what}`, `by ${event.from === 'family' ? 'the family' : 'learners'}`, 'cue');
    case 'request-met':
      return line(
        `${about(log, event.targetSeq) ?? 'A request'}: ${event.answer === 'given' ? 'they have it' : 'refused'}`,
        'request answered',
        'cue',
      );
    case 'family-distress':
      return line(`Family: ${DISTRESS[event.level]}`, null, 'cue');
    case 'family-history-told':
      return line(familyPiece(scenario, event.item), 'history told when asked', 'cue');
    case 'family-worry':
      return line(familyPiece(scenario, event.item), `family’s worry ${event.step}`, 'cue');
    case 'family-with':
      return line(event.who === null ? 'Nobody is with the family' : `With the family: ${event.who}`, null, 'cue');
    case 'errand-sent': {
      const by = event.sentBy ? ` · by ${event.sentBy}` : '';
      return event.errand === 'call'
        ? line(
            `Call (simulated): ${contact(scenario, event.what)}`,
            `answers in ${spanText(event.delayMs)}${by}`,
            'kit',
          )
        : line(`Sent for: ${idWords(event.what)}`, `here in ${spanText(event.delayMs)}${by}`, 'kit');
    }
    case 'errand-ended': {
      const what = about(log, event.targetSeq);
      const name = what === null ? 'What was sent for' : sentence(contact(scenario, what));
      return line(`${name}: ${event.how === 'came' ? 'came' : 'did not come'}`, null, 'kit');
    }
    case 'system-problem':
      return line(
        `System problem: ${event.category}`,
        event.text ?? (event.photo === undefined ? null : 'photo'),
        'alert',
      );
    case 'seat-changed':
      return line(
        `${sentence(event.teamRole)}: ${event.change}`,
        event.withSeat === undefined ? event.seat : `${event.seat} with ${event.withSeat}`,
        'run',
      );
    case 'handover': {
      const heard = (['situation', 'background', 'assessment', 'recommendation'] as const).filter(
        (part) => event.parts[part],
      );
      return line(
        `Handover to ${event.to}`,
        [
          heard.length === 4 ? 'all four parts' : heard.length === 0 ? 'no part heard' : heard.join(', '),
          `read back: ${event.readBack}`,
          event.text,
        ]
          .filter(Boolean)
          .join(' · '),
        'look',
      );
    }
    case 'sound-changed':
      return line(
        `Sound ${plainNumber(event.volumePercent, 0)} %`,
        `pulse tone ${event.pulseTone ? 'on' : 'off'}, alarms ${event.alarms ? 'on' : 'off'}`,
        'kit',
      );
    case 'sound-played':
      return line(`Sound played: ${idWords(event.sound)}`, null, 'cue');
    case 'alarm-paused':
      return line(event.forMs === 0 ? 'Alarms on again' : `Alarms quiet for ${spanText(event.forMs)}`, null, 'kit');
    case 'alarm-limit':
      return line(
        `Alarm limits: ${idWords(event.vital)}`,
        `${event.low === null ? 'no low' : `low ${plainNumber(event.low)}`}, ${event.high === null ? 'no high' : `high ${plainNumber(event.high)}`}`,
        'kit',
      );
    case 'learner-controls': {
      const may = [
        event.cuff && 'cycle the cuff',
        event.silence && 'silence an alarm',
        event.probes && 'put probes on',
      ].filter(Boolean);
      return line('Learners may press', may.length === 0 ? 'nothing' : may.join(', '), 'kit');
    }
    case 'exhibit-shown':
    case 'exhibit-hidden': {
      const title = scenario.exhibits?.find((each) => each.id === event.exhibit)?.title ?? idWords(event.exhibit);
      return line(`${title}: ${event.kind === 'exhibit-shown' ? 'shown' : 'taken off the screen'}`, null, 'kit');
    }
    case 'listening':
      return line(event.on ? 'Learners hear the chest' : 'Learners no longer hear the chest', null, 'kit');
    case 'happening':
      return line(
        {
          phone: 'The phone rings',
          'family-question': 'The family ask',
          'kit-failure': 'Kit fails',
          other: 'Something happens',
        }[event.what],
        [event.device && idWords(event.device), event.text].filter(Boolean).join(' · ') || null,
        'cue',
      );
    case 'findings-said':
      return line(
        'Findings said aloud',
        event.unasked.length === 0 ? null : `unasked: ${shortLetters(event.unasked)}`,
        'note',
      );
    case 'arrest-decided':
      return line(event.allow ? 'Arrest let happen' : 'Arrest held off', null, 'steer');
  }
}
