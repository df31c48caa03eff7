/** What live events do to the patient and the devices. Everything else about them is folded (see fold.ts). */
import { applyInput, isAtBrink, steeringNow } from '@breathline/patient';
import { failDevice } from '../devices/devices.ts';
import { messageOf } from '../machine/machine.ts';
import type { RunCore } from '../run/core.ts';
import { I, LIVE, PHASE } from '../run/layout.ts';
import { ARREST_ITEM } from './arrest.ts';
import type { RunEvent } from '../types.ts';
import type { LiveView } from './types.ts';

/**
 * How much milder or worse the illness is for five minutes after something helpful or harmful that the formulary does not
 * know: noticeable, and never more than a drug would do. A choice of this program, no source.
 */
export const OTHER_ACTION_SHARE = 0.125;

/** Applies a live event at the present clock; false when it is none that reaches the patient. */
export function applyLive(core: RunCore, event: RunEvent): boolean {
  switch (event.kind) {
    case 'course-steered':
      send(core, { kind: 'steer', direction: event.direction, pace: event.pace });
      return true;
    case 'course-released':
      send(core, { kind: 'steer', direction: 'hand-back' });
      return true;
    case 'other-action':
      if (event.effect === 'none') return true;
      send(core, { kind: 'push', share: event.effect === 'helps' ? OTHER_ACTION_SHARE : -OTHER_ACTION_SHARE });
      return true;
    case 'happening':
      if (event.what === 'kit-failure' && event.device !== undefined) failDevice(core, event.device);
      return true;
    case 'arrest-decided':
      decideArrest(core, event.allow);
      return true;
    case 'prebrief-item':
      agreeOnArrest(core, event);
      return false;
    default:
      return false;
  }
}

/** Going again: the run goes on from here, whatever it had come to, ended or paused. */
export function goAgain(core: RunCore): void {
  core.ints[I.phase] = PHASE.running;
  core.ints[I.pausedWhy] = 0;
}

function send(core: RunCore, input: Parameters<typeof applyInput>[2]): void {
  try {
    applyInput(core.plan.model, core.patient, input);
  } catch (error) {
    core.fault(`The patient could not be steered (${messageOf(error)}).`);
  }
}

/** The scenario alone does not settle it: faculty tick in the prebrief that the heart may stop as the model has it. */
function agreeOnArrest(core: RunCore, { item, done }: Extract<RunEvent, { kind: 'prebrief-item' }>): void {
  if (item !== ARREST_ITEM || core.plan.arrest !== 'as-agreed') return;
  core.ints[I.live] = (core.ints[I.live]! & ~LIVE.agreed) | (done ? LIVE.agreed : 0);
}

function decideArrest(core: RunCore, allow: boolean): void {
  core.ints[I.live] = (core.ints[I.live]! & ~(LIVE.allowed | LIVE.refused)) | (allow ? LIVE.allowed : LIVE.refused);
  // Allowed, it comes by itself at the next step, if things are still as they were.
  if (allow && isAtBrink(core.patient)) send(core, { kind: 'brink', on: false });
}

/**
 * The model has just arrested and nobody has said that it may: the patient is held at the brink and faculty are asked.
 * Asked again each time, since things had changed in between.
 */
export function askAboutArrest(core: RunCore): void {
  send(core, { kind: 'brink', on: true });
  core.ints[I.live] = (core.ints[I.live]! & ~LIVE.refused) | LIVE.asked;
  core.sink?.({ kind: 'arrest-asked', atMs: core.clockMs });
}

/** Whether the model may arrest without being held. */
export function mayArrest(core: RunCore): boolean {
  const { arrest } = core.plan;
  const enough = arrest === 'as-agreed' ? LIVE.allowed | LIVE.agreed : LIVE.allowed;
  return core.arrestBy === 'model' || (core.ints[I.live]! & enough) !== 0;
}

export function arrestNow(core: RunCore): LiveView['arrest'] {
  const bits = core.ints[I.live]!;
  if ((bits & LIVE.allowed) !== 0) return 'allowed';
  if ((bits & LIVE.asked) === 0 || !isAtBrink(core.patient)) return 'not-asked';
  return (bits & LIVE.refused) !== 0 ? 'refused' : 'asked';
}

/** What faculty do to the illness now, for whoever asks why; null when nothing. */
export function steeringWords(core: RunCore): string | null {
  const { share, held } = steeringNow(core.patient);
  if (held) return 'Held by faculty: the patient’s own time stands still.';
  if (isAtBrink(core.patient)) return 'An arrest is held back until faculty allow it.';
  const percent = Math.round(Math.abs(share) * 100);
  if (percent === 0) return null;
  if (share > 0) return `Steered by faculty: the illness is felt ${percent} % less than it is.`;
  return share < -1
    ? 'Steered by faculty past its worst: lungs and heart fail whatever is given.'
    : `Steered by faculty: ${percent} % of the way to its worst.`;
}
