/**
 * What stands around the patient, folded from the events that count and the run clock. Nothing is kept between two folds.
 * What belongs to the story (calls, family, exhibits) goes back with a take that is wound back; what belongs to the room
 * (seats, sound, alarm limits, what learners may press, problems of the place) does not. The clock's speed is of neither: a
 * new take goes at the clock on the wall, since nobody practises at four times the pace they will work at.
 */
import type { VitalId } from '@breathline/patient';
import type { FamilyMember } from '@breathline/scenario';
import type { RunEvent } from '../types.ts';
import { ratingOf } from './ratings.ts';
import type { LiveView } from './types.ts';

/** Sounds that a screen which joins late may still have missed. */
const MOST_PLAYING = 20;

/** How a room starts. Quieter or louder is a site's choice, logged as `sound-changed`. */
export const SOUND_AT_START: LiveView['sound'] = { volumePercent: 50, pulseTone: true, alarms: true };
export const LEARNERS_MAY_AT_START: LiveView['learnersMay'] = { cuff: true, silence: true, probes: false };

export interface LiveInput {
  /** Events of the take that count, in the order of effect (`effectiveEvents`). */
  readonly events: readonly RunEvent[];
  /** Events of earlier takes that count and are no part of this one, by number; only what belongs to the room is read. */
  readonly elsewhere: readonly RunEvent[];
  readonly takes: LiveView['takes'];
  readonly clockMs: number;
  readonly arrest: LiveView['arrest'];
  readonly family?: readonly FamilyMember[];
}

type Writable<T> = { -readonly [K in keyof T]: T[K] };
type Request = Writable<LiveView['requests'][number]>;
type ErrandNow = Writable<LiveView['errands'][number]>;
type Seat = LiveView['seats'][number];
type Tick = LiveView['behaviours'][number]['ticks'][number];
type Limit = LiveView['alarm']['limits'][number];

/** When and how each errand ends: by its delay, unless somebody ended it. */
export function errandsOf(events: readonly RunEvent[], clockMs: number): LiveView['errands'] {
  const errands = new Map<number, ErrandNow>();
  for (const event of events) {
    if (event.kind === 'errand-sent') {
      const dueAtMs = event.occurredAtMs + Math.max(0, event.delayMs);
      const came = dueAtMs <= clockMs;
      errands.set(event.seq, {
        seq: event.seq,
        errand: event.errand,
        what: event.what,
        sentAtMs: event.occurredAtMs,
        dueAtMs,
        endedAtMs: came ? dueAtMs : null,
        state: came ? 'came' : 'under-way',
      });
    } else if (event.kind === 'errand-ended') {
      const errand = errands.get(event.targetSeq);
      if (errand === undefined) continue;
      errand.state = event.how;
      errand.endedAtMs = event.occurredAtMs;
    }
  }
  return [...errands.values()];
}

/** The room: seats, sound, speed, limits, controls, problems. `since` says from when something of another take stands. */
function foldRoom(
  events: readonly RunEvent[],
  since: (event: RunEvent) => number,
): Pick<LiveView, 'speed' | 'sound' | 'learnersMay' | 'seats' | 'systemProblems'> & {
  readonly limits: readonly Limit[];
} {
  let speed: LiveView['speed'] = 1;
  let sound = SOUND_AT_START;
  let learnersMay = LEARNERS_MAY_AT_START;
  const seats = new Map<string, Seat>();
  const limits = new Map<VitalId, Limit>();
  const systemProblems: LiveView['systemProblems'][number][] = [];
  for (const event of events) {
    switch (event.kind) {
      case 'speed-changed':
        speed = event.factor;
        break;
      case 'wound-back':
        speed = 1;
        break;
      case 'sound-changed':
        sound = { volumePercent: event.volumePercent, pulseTone: event.pulseTone, alarms: event.alarms };
        break;
      case 'learner-controls':
        learnersMay = { cuff: event.cuff, silence: event.silence, probes: event.probes };
        break;
      case 'alarm-limit':
        limits.set(event.vital, { vital: event.vital, low: event.low, high: event.high });
        break;
      case 'system-problem':
        systemProblems.push({
          seq: event.seq,
          category: event.category,
          text: event.text ?? '',
          atMs: event.occurredAtMs,
        });
        break;
      case 'seat-changed':
        changeSeat(seats, event, since(event));
        break;
      default:
    }
  }
  return { speed, sound, learnersMay, seats: [...seats.values()], limits: [...limits.values()], systemProblems };
}

function changeSeat(
  seats: Map<string, Seat>,
  event: Extract<RunEvent, { kind: 'seat-changed' }>,
  sinceMs: number,
): void {
  const { seat, teamRole, change, withSeat } = event;
  if (change === 'left') {
    seats.delete(seat);
    return;
  }
  const before = seats.get(seat);
  if (change === 'swapped' && withSeat !== undefined && before !== undefined) {
    seats.set(withSeat, { seat: withSeat, teamRole: before.teamRole, sinceMs });
  }
  seats.set(seat, { seat, teamRole, sinceMs });
}

/** Everything that stands at `clockMs`. Pure. */
export function foldLive(input: LiveInput): LiveView {
  const { events, clockMs } = input;
  const present = input.takes.at(-1);
  const elsewhere = new Set(input.elsewhere);
  const room = foldRoom(
    elsewhere.size === 0 ? events : [...events, ...input.elsewhere].sort((a, b) => a.seq - b.seq),
    (event) => (elsewhere.has(event) ? (present?.fromMs ?? 0) : event.occurredAtMs),
  );
  let course: LiveView['course'] = null;
  let [distress, withWhom] = [startDistress(input.family), null as string | null];
  let [listening, pausedUntilMs] = [false, null as number | null];
  let handover: LiveView['handover'] = null;
  const requests = new Map<number, Request>();
  const told = new Map<string, number>();
  const worries = new Map<string, LiveView['family']['worries'][number]>();
  const behaviours = new Map<string, Map<string, Tick>>();
  const playing: LiveView['playing'][number][] = [];
  const exhibits = new Map<string, number>();
  const happenings: LiveView['happenings'][number][] = [];
  for (const event of events) {
    const atMs = event.occurredAtMs;
    switch (event.kind) {
      case 'course-steered':
        course = { direction: event.direction, pace: event.pace, sinceMs: event.appliedAtMs };
        break;
      case 'course-released':
        course = null;
        break;
      case 'request-made':
        requests.set(event.seq, {
          seq: event.seq,
          from: event.from,
          what: event.what,
          atMs,
          metAtMs: null,
          answer: null,
        });
        break;
      case 'request-met': {
        const request = requests.get(event.targetSeq);
        if (request !== undefined) [request.metAtMs, request.answer] = [atMs, event.answer];
        break;
      }
      case 'family-distress':
        distress = event.level;
        break;
      case 'family-history-told':
        if (!told.has(event.item)) told.set(event.item, atMs);
        break;
      case 'family-worry':
        worries.set(event.item, { item: event.item, step: event.step, atMs });
        break;
      case 'family-with':
        withWhom = event.who;
        break;
      case 'behaviour-ticked': {
        const seat = event.by.seat ?? event.by.role;
        const ticks = behaviours.get(event.behaviour) ?? new Map<string, Tick>();
        const rating = ratingOf(event);
        ticks.set(seat, { seat, seen: event.seen, ...(rating === null ? {} : { rating }), atMs });
        behaviours.set(event.behaviour, ticks);
        break;
      }
      case 'sound-played':
        playing.push({ seq: event.seq, sound: event.sound, atMs: event.appliedAtMs });
        break;
      case 'alarm-paused':
        pausedUntilMs = event.forMs > 0 ? event.appliedAtMs + event.forMs : null;
        break;
      case 'exhibit-shown':
        if (!exhibits.has(event.exhibit)) exhibits.set(event.exhibit, atMs);
        break;
      case 'exhibit-hidden':
        exhibits.delete(event.exhibit);
        break;
      case 'listening':
        listening = event.on;
        break;
      case 'happening':
        happenings.push({ seq: event.seq, what: event.what, text: event.text ?? event.device ?? '', atMs });
        break;
      case 'handover': {
        const { seq, to, parts, readBack } = event;
        handover = { seq, to, parts, readBack, atMs };
        break;
      }
      default:
    }
  }
  return {
    speed: room.speed,
    course,
    takes: input.takes,
    requests: [...requests.values()],
    errands: errandsOf(events, clockMs),
    family: {
      distress,
      told: [...told].map(([item, atMs]) => ({ item, atMs })),
      worries: [...worries.values()],
      with: withWhom,
    },
    seats: room.seats,
    behaviours: [...behaviours].map(([behaviour, ticks]) => ({ behaviour, ticks: [...ticks.values()] })),
    sound: room.sound,
    playing: playing.slice(-MOST_PLAYING),
    alarm: {
      pausedUntilMs: pausedUntilMs !== null && pausedUntilMs > clockMs ? pausedUntilMs : null,
      limits: room.limits,
    },
    learnersMay: room.learnersMay,
    exhibits: [...exhibits].map(([exhibit, sinceMs]) => ({ exhibit, sinceMs })),
    listening,
    happenings,
    systemProblems: room.systemProblems,
    handover,
    arrest: input.arrest,
  };
}

/** The most upset of the family sets the tone. */
function startDistress(family: readonly FamilyMember[] = []): 0 | 1 | 2 | 3 {
  return family.reduce<0 | 1 | 2 | 3>((most, each) => ((each.distress ?? 0) > most ? each.distress! : most), 0);
}
