/**
 * What lies over the model's values: a state's scripted vitals first, then faculty overrides. The model runs on
 * beneath. Blood pressure is one override: whichever of its three numbers is set, the others follow in proportion and
 * systolic >= mean >= diastolic always holds.
 */
import type { TrueVitals, VitalId } from '@breathline/patient';
import { clampVital, copyVitals, VITAL_IDS, VITAL_INDEX } from '../vitals.ts';
import type { RunCore } from './core.ts';
import { I, N } from './layout.ts';

/** Vitals go back to the model over this long when a state stops scripting them. Common practice, no source. */
export const SCRIPT_HANDBACK_MS = 20_000;

const COUNT = VITAL_IDS.length;
const SYSTOLIC = VITAL_INDEX.get('systolicMmHg')!;
const DIASTOLIC = VITAL_INDEX.get('diastolicMmHg')!;
const MEAN = VITAL_INDEX.get('meanMmHg')!;
const HEART = VITAL_INDEX.get('heartRatePerMin')!;
const PULSE = VITAL_INDEX.get('pulseRatePerMin')!;
/** Codes, not amounts: on the way from one to another lie others that nobody meant. */
const CODES: ReadonlySet<string> = new Set<VitalId>(['rhythm', 'arrested']);
const rampMs = (vital: string, overMs: number): number => (CODES.has(vital) ? 0 : Math.max(0, Math.round(overMs) || 0));

function countActive(core: RunCore, base: number): number {
  let active = 0;
  for (let v = 0; v < COUNT; v++) if (core.ints[base + v] !== 0) active++;
  return active;
}

/** Share of a ramp done, 0 to 1. */
function rampDone(core: RunCore, start: number, over: number): number {
  const gone = core.ints[I.clockMs]! - start;
  return over <= 0 || gone >= over ? 1 : gone / over;
}

/** Starts (or redirects) an override. `to` is held within physical bounds. */
export function overrideVital(core: RunCore, vital: VitalId, to: number, overMs: number): void {
  const v = VITAL_INDEX.get(vital);
  if (v === undefined || !Number.isFinite(to)) {
    core.fault(`An override of “${vital}” could not be used.`);
    return;
  }
  core.nums[N.maskFrom + v] = core.vitals[vital];
  core.nums[N.maskTo + v] = clampVital(vital, to);
  core.ints[I.maskMode + v] = 1;
  core.ints[I.maskStart + v] = core.clockMs;
  core.ints[I.maskOver + v] = rampMs(vital, overMs);
  core.ints[I.activeMasks] = countActive(core, I.maskMode);
  core.refreshVitals();
}

/** Hands a vital back to the model over `overMs`. Releasing any pressure releases all three. */
export function releaseVital(core: RunCore, vital: VitalId, overMs: number): void {
  const v = VITAL_INDEX.get(vital);
  if (v === undefined) return;
  const isPressure = v === SYSTOLIC || v === DIASTOLIC || v === MEAN;
  for (const each of isPressure ? [SYSTOLIC, DIASTOLIC, MEAN] : [v]) {
    if (core.ints[I.maskMode + each] !== 1) continue;
    core.nums[N.maskHeld + each] = core.vitals[VITAL_IDS[each]!];
    core.ints[I.maskMode + each] = 2;
    core.ints[I.maskStart + each] = core.clockMs;
    core.ints[I.maskOver + each] = rampMs(VITAL_IDS[each]!, overMs);
  }
  core.refreshVitals();
}

/** A state begins to script a vital: it starts from what is effective now. */
export function startScript(core: RunCore, vital: number, to: number, share: number, thread: number): void {
  core.nums[N.scriptValue + vital] = core.vitals[VITAL_IDS[vital]!];
  core.nums[N.scriptTo + vital] = clampVital(VITAL_IDS[vital]!, to);
  core.nums[N.scriptShare + vital] = share;
  core.ints[I.scriptMode + vital] = 1;
  core.ints[I.scriptOwner + vital] = thread;
  core.ints[I.activeScripts] = countActive(core, I.scriptMode);
}

/** The thread leaves its state: what it scripted goes back to the model, unless another thread has taken it over. */
export function releaseScripts(core: RunCore, thread: number): void {
  for (let v = 0; v < COUNT; v++) {
    if (core.ints[I.scriptMode + v] !== 1 || core.ints[I.scriptOwner + v] !== thread) continue;
    core.ints[I.scriptMode + v] = 2;
    core.ints[I.scriptStart + v] = core.clockMs;
  }
}

/** Moves every script on by one step and ends finished handbacks. */
export function stepScripts(core: RunCore): void {
  const { ints, nums } = core;
  for (let v = 0; v < COUNT; v++) {
    const mode = ints[I.scriptMode + v];
    if (mode === 1) {
      const value = nums[N.scriptValue + v]!;
      nums[N.scriptValue + v] = value + (nums[N.scriptTo + v]! - value) * nums[N.scriptShare + v]!;
    } else if (mode === 2 && ints[I.clockMs]! - ints[I.scriptStart + v]! >= SCRIPT_HANDBACK_MS) {
      ints[I.scriptMode + v] = 0;
      ints[I.activeScripts] = countActive(core, I.scriptMode);
    }
  }
}

/** Lays scripts, then overrides, over the model's values. Finished handbacks of overrides end here. */
export function applyMasks(core: RunCore, model: Readonly<TrueVitals>, out: TrueVitals): void {
  const { ints, nums } = core;
  copyVitals(model, out);
  if (ints[I.activeScripts] !== 0) {
    for (let v = 0; v < COUNT; v++) {
      const mode = ints[I.scriptMode + v];
      if (mode === 0) continue;
      const id = VITAL_IDS[v]!;
      const weight = mode === 1 ? 1 : 1 - rampDone(core, ints[I.scriptStart + v]!, SCRIPT_HANDBACK_MS);
      out[id] = model[id] + (nums[N.scriptValue + v]! - model[id]) * weight;
    }
    follow(core, I.scriptMode, model, out);
  }
  if (ints[I.activeMasks] === 0) return;
  copyVitals(out, under);
  for (let v = 0; v < COUNT; v++) {
    const mode = ints[I.maskMode + v];
    if (mode === 0) continue;
    const id = VITAL_IDS[v]!;
    const done = rampDone(core, ints[I.maskStart + v]!, ints[I.maskOver + v]!);
    if (mode === 1) {
      const from = nums[N.maskFrom + v]!;
      out[id] = done >= 1 ? nums[N.maskTo + v]! : from + (nums[N.maskTo + v]! - from) * done;
    } else if (done >= 1) {
      ints[I.maskMode + v] = 0;
      ints[I.activeMasks] = countActive(core, I.maskMode);
    } else {
      out[id] = under[id] + (nums[N.maskHeld + v]! - under[id]) * (1 - done);
    }
  }
  follow(core, I.maskMode, under, out);
}

/** Values under the overrides; scratch, never read across calls. */
const under = {} as TrueVitals;

/** Numbers that follow a steered one: the other pressures in the proportions beneath, and the pulse with the heart. */
function follow(core: RunCore, modes: number, below: Readonly<TrueVitals>, out: TrueVitals): void {
  const { ints } = core;
  const systolicSet = ints[modes + SYSTOLIC] !== 0;
  const diastolicSet = ints[modes + DIASTOLIC] !== 0;
  const meanSet = ints[modes + MEAN] !== 0;
  if (systolicSet || diastolicSet || meanSet) {
    const s0 = below.systolicMmHg;
    const width = s0 - below.diastolicMmHg;
    const ratio = s0 > 20 ? below.diastolicMmHg / s0 : 0.6;
    const form = width > 2 ? Math.min(0.6, Math.max(0.2, (below.meanMmHg - below.diastolicMmHg) / width)) : 1 / 3;
    const whole = ratio + form * (1 - ratio);
    let systolic = out.systolicMmHg;
    if (!systolicSet) {
      systolic = diastolicSet ? out.diastolicMmHg / Math.max(0.1, ratio) : out.meanMmHg / Math.max(0.1, whole);
      if (meanSet && diastolicSet) systolic = out.diastolicMmHg + (out.meanMmHg - out.diastolicMmHg) / form;
    }
    let diastolic = diastolicSet
      ? out.diastolicMmHg
      : meanSet && systolicSet
        ? (out.meanMmHg - form * systolic) / (1 - form)
        : systolic * ratio;
    systolic = clampVital('systolicMmHg', systolic);
    diastolic = Math.max(0, Math.min(diastolic, systolic));
    const mean = meanSet ? out.meanMmHg : diastolic + form * (systolic - diastolic);
    out.systolicMmHg = systolic;
    out.diastolicMmHg = diastolic;
    out.meanMmHg = Math.max(diastolic, Math.min(mean, systolic));
  }
  if (ints[modes + HEART] !== 0 && ints[modes + PULSE] === 0 && below.heartRatePerMin > 0) {
    out.pulseRatePerMin = (out.heartRatePerMin * below.pulseRatePerMin) / below.heartRatePerMin;
  }
}
