/**
 * What people did around the patient, as marks of the debrief's timeline: calls and kit, what was asked for, the family,
 * observers, the place, steering. Screens' own settings (volume, limits, what may be pressed) leave no mark.
 */
import { ratingOf, type RunEvent } from '@breathline/engine';
import type { Scenario } from '@breathline/scenario';
import type { TimelineMark } from './timeline-types.ts';
import { clockText } from './words.ts';

const SEEN = { seen: 'seen', partly: 'seen in part', 'not-seen': 'not seen' } as const;
const ABOUT = { good: 'went well', change: 'would change', question: 'question' } as const;
const EFFECT = { none: 'no effect', helps: 'it helped', harms: 'it harmed' } as const;
const DISTRESS = ['calm', 'worried', 'distressed', 'in the way'] as const;
const PACE = { slow: 'slowly', fast: 'fast' } as const;
const HAPPENING = {
  phone: 'The phone rang',
  'family-question': 'The family asked',
  'kit-failure': 'Kit failed',
  other: 'Something happened',
} as const;

interface Words {
  readonly kind: TimelineMark['kind'];
  readonly label: string;
  /** Joined to the label in the full text. */
  readonly more?: string | undefined;
}

/** The mark of an event of the live run; none for other kinds, and for those that are only settings. */
export function liveMarks(event: RunEvent, scenario: Scenario, events: readonly RunEvent[]): TimelineMark[] {
  const words = wordsOf(event, scenario, events);
  if (words === null) return [];
  const { kind, label, more } = words;
  const text = `${clockText(event.occurredAtMs)} ${label}${more === undefined || more === '' ? '' : `, ${more}`}`;
  return [{ seq: event.seq, atMs: event.occurredAtMs, kind, label, text, nth: null, warn: false }];
}

function wordsOf(event: RunEvent, scenario: Scenario, events: readonly RunEvent[]): Words | null {
  switch (event.kind) {
    case 'other-action':
      return { kind: 'act', label: event.text, more: EFFECT[event.effect] };
    case 'errand-sent':
      return event.errand === 'call'
        ? { kind: 'call', label: `Rang ${contactTitle(scenario, event.what)}`, more: 'simulated' }
        : { kind: 'act', label: `Sent for: ${event.what}` };
    case 'errand-ended': {
      const sent = events.find((each) => each.seq === event.targetSeq);
      if (sent?.kind !== 'errand-sent') return null;
      const what = contactTitle(scenario, sent.what);
      return { kind: 'act', label: `${what}: ${event.how === 'came' ? 'there' : 'did not come'}` };
    }
    case 'handover': {
      const heard = Object.values(event.parts).filter(Boolean).length;
      return {
        kind: 'act',
        label: `Handover to ${event.to}`,
        more: `${heard} of 4 parts heard, read back ${{ full: 'in full', part: 'in part', none: 'not at all' }[event.readBack]}`,
      };
    }
    case 'request-made':
      return { kind: 'cue', label: `${event.from === 'family' ? 'Family' : 'Team'} asked for: ${event.what}` };
    case 'request-met': {
      const made = events.find((each) => each.seq === event.targetSeq);
      if (made?.kind !== 'request-made') return null;
      return { kind: 'cue', label: `${made.what}: ${event.answer}` };
    }
    case 'family-distress':
      return { kind: 'cue', label: `Family ${DISTRESS[event.level]}` };
    case 'family-history-told':
      return { kind: 'cue', label: `Told when asked: “${familySays(scenario, event.item)}”` };
    case 'family-worry':
      return { kind: 'cue', label: `Worry ${event.step}: “${familySays(scenario, event.item)}”` };
    case 'family-with':
      return { kind: 'cue', label: event.who === null ? 'Nobody with the family' : `${event.who}: with the family` };
    case 'happening':
      return { kind: 'cue', label: HAPPENING[event.what], more: event.text ?? event.device?.replaceAll('-', ' ') };
    case 'sound-played':
      return { kind: 'cue', label: `Sound: ${event.sound.replaceAll('-', ' ')}` };
    case 'behaviour-ticked': {
      const says = scenario.behaviours?.find((each) => each.id === event.behaviour)?.says ?? event.behaviour;
      const rating = ratingOf(event);
      const rated = rating === null ? '' : `, rated ${rating} of 5`;
      return { kind: 'note', label: `${says}: ${SEEN[event.seen]}${rated}`, more: 'observer' };
    }
    case 'comment':
      if (event.text === '') return null;
      return { kind: 'note', label: event.text, more: event.about === undefined ? undefined : ABOUT[event.about] };
    case 'system-problem':
      return {
        kind: 'note',
        label: `System problem: ${event.category}`,
        more: [event.text, event.photo === undefined ? '' : 'photograph kept'].filter(Boolean).join(', '),
      };
    case 'seat-changed':
      return { kind: 'note', label: `${event.teamRole} ${event.change}`, more: event.seat };
    case 'exhibit-shown': {
      const title = scenario.exhibits?.find((each) => each.id === event.exhibit)?.title ?? event.exhibit;
      return { kind: 'note', label: `Shown: ${title}` };
    }
    case 'course-steered':
      return event.direction === 'hold'
        ? { kind: 'steering', label: 'Faculty held the patient' }
        : { kind: 'steering', label: `Faculty made the patient ${event.direction}`, more: PACE[event.pace] };
    case 'course-released':
      return { kind: 'steering', label: 'Faculty handed the patient back' };
    case 'findings-said':
      // What a team asked for is on the timeline as their look already.
      return event.unasked.length === 0
        ? null
        : { kind: 'note', label: 'Findings said without being asked', more: event.unasked.join(', ') };
    case 'arrest-decided':
      return {
        kind: 'steering',
        label: event.allow ? 'Faculty allowed an arrest, should it come' : 'Faculty held off an arrest',
      };
    case 'speed-changed':
      return { kind: 'steering', label: `Clock at ${event.factor}×` };
    case 'wound-back':
      return { kind: 'steering', label: `Take ${event.take} began`, more: `from take ${event.fromTake}` };
    default:
      return null;
  }
}

function contactTitle(scenario: Scenario, id: string): string {
  return scenario.calls?.find((each) => each.id === id)?.title ?? id;
}

function familySays(scenario: Scenario, id: string): string {
  for (const { history, worries } of scenario.family) {
    const found = [...(history ?? []), ...(worries ?? [])].find((each) => each.id === id);
    if (found) return found.says;
  }
  return id.replaceAll('-', ' ');
}
