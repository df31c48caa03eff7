/** What hands and small tools do: at once, to what is there. */
import { unknownId, requireNumber } from '../errors.ts';
import { unit } from '../maths/index.ts';
import type { PatientState, ProcedureInput } from '../types.ts';
import { PROCEDURES } from './codes.ts';
import * as C from './codes.ts';
import { SLOTS } from './layout.ts';
import type { Parameters } from './parameters.ts';

const X = SLOTS;

/** Checks everything, then does it. */
export function doProcedure(p: Parameters, s: PatientState, input: ProcedureInput): void {
  if (!Object.hasOwn(PROCEDURES, input.procedure))
    throw unknownId('unknown-procedure', input.procedure, Object.keys(PROCEDURES));
  const id = input.procedure as keyof typeof PROCEDURES;
  const spec = PROCEDURES[id];
  const usual = id === 'breaths-given' ? p.usualBreaths : spec.usual;
  const amount =
    input.amount === undefined ? usual : requireNumber(`amount of ${id}`, input.amount, spec.min, spec.max);
  switch (id) {
    case 'cpr':
      s[X.CPR] = input.on ? amount : 0;
      return;
    case 'breaths-given':
      s[X.BREATHS] = input.on ? amount : 0;
      return;
    case 'machine-breath':
      s[X.TIDAL_SET] = input.on ? amount : 0;
      return;
    case 'machine-pressure':
      // One more than what is set, so that 0 can stand for nothing set.
      s[X.PEEP_SET] = input.on ? amount + 1 : 0;
      return;
    case 'machine-inspiration':
      s[X.INSPIRED_SHARE] = input.on ? amount : 0;
      return;
    case 'mask-seal':
      s[X.MASK_SEAL] = input.on ? amount : 0;
      return;
    case 'tube-in-gullet':
      s[X.TUBE_GULLET] = input.on ? 1 : 0;
      return;
    case 'tube-attempt':
      s[X.ATTEMPT_LEFT_MIN] = input.on ? amount / 60 : 0;
      return;
    case 'airway-held-open':
      s[X.AIRWAY_OPEN] = input.on ? 1 : 0;
      return;
    case 'needle-decompression':
    case 'chest-drain': {
      const left = sideOf(s, input.site, amount);
      const outlet = left ? X.OUTLET_LEFT : X.OUTLET_RIGHT;
      if (!input.on) s[outlet] = 0;
      else if (id === 'chest-drain') s[outlet] = 2;
      else needle(s, left);
      return;
    }
    case 'tube-too-deep':
      s[X.TUBE_DEEP] = input.on ? 1 : 0;
      // Drawn back, the lung beyond still has to fill; the side is kept until it has.
      if (input.on) s[X.TUBE_SIDE] = deepSide(input.site, amount);
      return;
    default:
      if (!input.on) return;
  }
  if (id === 'defibrillation') shock(s, amount);
  else if (id === 'suction') s[X.SECRETIONS] = 0.35 * s[X.SECRETIONS]!;
  else if (id === 'rouse') s[X.ROUSED_MIN] = 1;
  else if (id === 'object-removed') {
    if (s[X.OBJECT]! > 0) {
      s[X.OBJECT_OUT] = 1;
      s[X.OBJECT] = 0;
    }
  } else loosen(p, s, id, amount);
}

/**
 * Left? By the site named, else by the amount (1 left, 2 right), else the side with more air: who taps without a side has
 * most often done the right thing.
 */
function sideOf(s: PatientState, site: string | undefined, amount: number): boolean {
  if (site !== undefined && site !== '') {
    const name = site.toLowerCase();
    if (name.includes('left')) return true;
    if (name.includes('right')) return false;
    throw unknownId('unknown-site', site, ['left', 'right']);
  }
  if (amount >= 1) return amount < 2;
  return s[X.AIR_LEFT]! > s[X.AIR_RIGHT]!;
}

/** Main bronchus of a tube too deep: 1 left, 2 right. The right one when nobody says: it runs straighter on. */
function deepSide(site: string | undefined, amount: number): number {
  const name = site === undefined ? '' : site.toLowerCase();
  if (name === '') return amount >= 1 && amount < 2 ? 1 : 2;
  if (name.includes('left')) return 1;
  if (name.includes('right')) return 2;
  throw unknownId('unknown-site', String(site), ['left', 'right']);
}

/** A needle on the wrong side lets air in there. */
function needle(s: PatientState, left: boolean): void {
  const airAt = left ? X.AIR_LEFT : X.AIR_RIGHT;
  const outlet = left ? X.OUTLET_LEFT : X.OUTLET_RIGHT;
  if (s[airAt]! < 0.05) s[airAt] = 0.12;
  if (s[outlet] !== 2) s[outlet] = 1;
  s[left ? X.NEEDLE_LEFT_MIN : X.NEEDLE_RIGHT_MIN] = 0;
}

/**
 * Back blows and thrusts work an object in the throat loose, a fifth or so of a set at a time; back blows best (Dunne CL et
 * al. Resuscitation 2024;199:110221, from memory), abdominal thrusts hardly in an infant. One already past the voice box
 * does not answer. Sizes chosen here: three good sets clear a complete block.
 */
function loosen(p: Parameters, s: PatientState, id: string, count: number): void {
  if (s[X.OBJECT]! <= 0) return;
  const infant = p.age < 1;
  const each = id === 'back-blows' ? 0.075 : id === 'chest-thrusts' ? (infant ? 0.065 : 0.045) : infant ? 0.02 : 0.065;
  s[X.LOOSENED] = unit(s[X.LOOSENED]! + each * Math.min(count, 5));
}

/** A shock ends a fast ventricular rhythm when there is oxygen enough; it does nothing for the others. */
function shock(s: PatientState, joulesPerKg: number): void {
  const rhythm = s[X.RHYTHM]!;
  const shockable = rhythm === C.VF || rhythm === C.VT_PULSELESS;
  if (!shockable || joulesPerKg < 1.5) return;
  s[X.RHYTHM] = C.PEA;
  s[X.HR] = 60;
  s[X.RESTART] = Math.min(s[X.RESTART]! + 0.4, 1);
}
