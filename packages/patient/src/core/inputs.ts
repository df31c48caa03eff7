/** What people and scenarios do to the patient. Everything is checked before anything changes. */
import { unknownId, requireNumber, PatientError } from '../errors.ts';
import type { DoseInput, OxygenInput, PatientInput, PatientModel, PatientState } from '../types.ts';
import { DRIVES, driveAddress } from '../diseases/drives.ts';
import type { DriveId } from '../diseases/drives.ts';
import { diseaseOfDrive } from '../diseases/illness.ts';
import { FOREIGN_BODY } from '../diseases/patterns.ts';
import { EFFECTS } from '../drugs/catalogue.ts';
import type { EffectSpec } from '../drugs/catalogue.ts';
import { ROUTE_ARM, ROUTE_BUTTOCK, deliver, deliverLate, standardDose } from '../drugs/deliver.ts';
import { OXYGEN_DEVICES, ROUTES } from '../types.ts';
import { POSTURES } from './codes.ts';
import { SLOTS } from './layout.ts';
import type { Parameters } from './parameters.ts';
import { doProcedure } from './procedures.ts';
import { hideDrives, holdArrest, push, showDrives, steer } from './steering.ts';

const X = SLOTS;

const DAY_MS = 86_400_000;

/**
 * Applies one input at once. Throws PatientError, with the patient unchanged, for an unknown id or a number outside its
 * range. Large doses are not errors: the patient answers them.
 */
export function applyInput(model: PatientModel, state: PatientState, input: PatientInput): void {
  if (state.length !== X.STATE_SIZE) {
    throw new PatientError('wrong-state', `a state of ${state.length} numbers`, `${X.STATE_SIZE} numbers`);
  }
  const p = model.p as Parameters;
  switch (input.kind) {
    case 'drive': {
      if (!Object.hasOwn(DRIVES, input.drive)) throw unknownId('unknown-drive', input.drive, Object.keys(DRIVES));
      const spec = DRIVES[input.drive as DriveId];
      const to = requireNumber(`drive ${input.drive}`, input.to, spec.min, spec.max);
      const over = requireNumber('overMs', input.overMs, 0, DAY_MS);
      const at = driveAddress(input.drive as DriveId);
      const steered = state[X.STEER_ON]! > 0;
      if (steered) showDrives(state);
      if (spec.index === 0) {
        // A drive takes over from where the pattern's own trigger had got to.
        if (!(state[X.MEDIATORS_DRIVEN]! > 0)) state[at] = state[X.RELEASE]!;
        state[X.MEDIATORS_DRIVEN] = 1;
      }
      const disease = diseaseOfDrive(input.drive);
      if (disease >= 0) {
        // Likewise; a drive of an illness the patient runs by itself starts where it had got to.
        const on = X.DRIVEN_BASE + disease;
        if (!(state[on]! > 0) && state[X.ACT_BASE + disease]! > 0) state[at] = state[X.ACT_BASE + disease]!;
        state[on] = 1;
        if (disease === FOREIGN_BODY) {
          state[X.OBJECT_OUT] = 0;
          state[X.LOOSENED] = 0;
        }
      }
      state[at + 1] = to;
      state[at + 2] = over;
      if (over === 0) state[at] = to;
      if (steered) hideDrives(state);
      return;
    }
    case 'dose':
      giveDose(p, state, input);
      return;
    case 'infusion': {
      const spec = effectOf(input.effect);
      const rate = requireNumber('ratePerMin', input.ratePerMin, 0, 1e6);
      if (spec.kind === 'adrenaline') state[X.AD_RATE] = rate;
      else if (spec.kind === 'fluid') state[X.FLUID_RATE] = rate;
      else if (spec.kind === 'level') {
        const level = spec.level!;
        const share = level.share?.iv ?? 1;
        state[X.LEVEL_BASE + X.LEVEL_STRIDE * level.slot + 4] = (rate * share) / standardDose(level, p.weight);
      } else
        throw new PatientError(
          'unknown-effect',
          `an infusion of ${input.effect}`,
          'an effect that can run continuously (adrenaline, crystalloid, salbutamol, magnesium, aminophylline, naloxone)',
        );
      return;
    }
    case 'oxygen':
      setOxygen(state, input);
      return;
    case 'posture': {
      const code = POSTURES.indexOf(input.posture);
      if (code < 0) throw unknownId('unknown-posture', input.posture, POSTURES);
      state[X.POSTURE_CODE] = code;
      return;
    }
    case 'procedure':
      doProcedure(p, state, input);
      return;
    case 'steer':
      steer(state, input);
      return;
    case 'push':
      push(state, input);
      return;
    case 'brink':
      holdArrest(p, state, input.on);
      return;
    default:
      throw unknownId('unknown-input', (input as { kind: unknown }).kind, [
        'drive',
        'dose',
        'infusion',
        'oxygen',
        'posture',
        'procedure',
        'steer',
        'push',
        'brink',
      ]);
  }
}

function effectOf(id: string): EffectSpec {
  if (!Object.hasOwn(EFFECTS, id)) throw unknownId('unknown-effect', id, Object.keys(EFFECTS));
  return EFFECTS[id as keyof typeof EFFECTS];
}

/** Route code of a dose: muscles other than the thigh count as routes of their own. No site means mid-outer thigh. */
function routeCode(input: DoseInput): number {
  const code = ROUTES.indexOf(input.route);
  if (input.route !== 'im' || input.site === undefined || input.site === '') return code;
  const site = input.site.toLowerCase();
  if (site.includes('thigh') || site.includes('vastus')) return code;
  if (site.includes('arm') || site.includes('deltoid')) return ROUTE_ARM;
  if (site.includes('buttock') || site.includes('glute')) return ROUTE_BUTTOCK;
  throw unknownId('unknown-site', input.site, ['thigh', 'upper arm', 'deltoid', 'buttock']);
}

function giveDose(p: Parameters, s: PatientState, input: DoseInput): void {
  const spec = effectOf(input.effect);
  if (!spec.routes.includes(input.route))
    throw unknownId('unknown-route', `${input.effect} by ${input.route}`, spec.routes);
  const route = routeCode(input);
  const amount = requireNumber('amount', input.amount, 0, 1e7);
  const over = input.overMs === undefined ? 0 : requireNumber('overMs', input.overMs, 0, DAY_MS);
  const lag = input.lagMs === undefined ? 0 : requireNumber('lagMs', input.lagMs, 0, DAY_MS);
  if (amount === 0) return;
  if (over === 0) {
    deliverLate(p, s, spec.code, route, amount, lag / 60000);
    return;
  }
  const past = lag < over ? lag : over;
  const share = past / over;
  // What ran in during the lag did so, on average, half-way through its own time.
  if (share > 0) deliverLate(p, s, spec.code, route, amount * share, (lag - past / 2) / 60000);
  if (share < 1) enqueue(p, s, spec.code, route, amount * (1 - share), (over - past) / 60000);
}

function enqueue(p: Parameters, s: PatientState, code: number, route: number, amount: number, minutes: number): void {
  const rate = amount / minutes;
  let same = -1;
  for (let i = 0; i < X.QUEUE_COUNT; i++) {
    const at = X.QUEUE_BASE + X.QUEUE_STRIDE * i;
    if (!(s[at + 2]! > 0)) {
      s[at] = code;
      s[at + 1] = route;
      s[at + 2] = amount;
      s[at + 3] = rate;
      return;
    }
    if (s[at] === code && s[at + 1] === route) same = at;
  }
  // All places taken (sixteen doses running at once): join one of the same kind, else give it now rather than lose it.
  if (same >= 0) {
    s[same + 2] = s[same + 2]! + amount;
    s[same + 3] = s[same + 3]! + rate;
  } else deliver(p, s, code, route, amount);
}

function setOxygen(s: PatientState, input: OxygenInput): void {
  const code = OXYGEN_DEVICES.indexOf(input.device);
  if (code < 0) throw unknownId('unknown-device', input.device, OXYGEN_DEVICES);
  const flow = input.flowLPerMin === undefined ? 0 : requireNumber('flowLPerMin', input.flowLPerMin, 0, 120);
  const set = input.fio2Fraction === undefined ? 0 : requireNumber('fio2Fraction', input.fio2Fraction, 0.21, 1);
  s[X.DEVICE] = code;
  s[X.FLOW] = flow;
  s[X.FIO2_SET] = set;
}
