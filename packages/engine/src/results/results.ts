/**
 * Tests whose answer comes later. The sample holds what was true when it was taken; the answer is told after a turnaround
 * and keeps both what was true and what the analyser printed. Only tests listed in `TESTS` answer; any other test is
 * logged and stays without one (no result within a drill).
 */
import { bloodGas, pow, standardBaseExcess } from '@breathline/patient';
import type { BloodGas, BloodGasSite, VitalId } from '@breathline/patient';
import { isOverridden } from '../devices/common.ts';
import type { RunCore } from '../run/core.ts';
import { nextNoise, streamSeed } from '../run/noise.ts';
import { STEP_MS, type Derived, type RunEvent } from '../types.ts';

export interface TestSpec {
  /** From taking the sample to the answer, ms. */
  readonly turnaroundMs: number;
}

/** By formulary id. A point-of-care gas takes about two minutes (from memory: analyser one to two, and the walk to it). */
export const TESTS: Readonly<Record<string, TestSpec>> = { 'blood-gas': { turnaroundMs: 120_000 } };

/** The catalogue names the act ("Blood gas sent"); what comes back is the thing: "Blood gas". */
export function resultName(name: string): string {
  return name.replace(/ (?:sent|taken)$/, '');
}

/** One sample on its way or answered. Never altered once taken. */
export interface Sample {
  /** Number of the event that asked for it. */
  readonly seq: number;
  readonly test: string;
  readonly name: string;
  readonly occurredAtMs: number;
  readonly sampledAtMs: number;
  readonly dueAtMs: number;
  readonly values: BloodGas;
  readonly true: BloodGas;
  readonly overridden: readonly VitalId[];
}

const SITES: readonly BloodGasSite[] = ['arterial', 'venous', 'capillary'];
/** Vitals a gas shows, so an override of one is said with the result. */
const SHOWN_BY_GAS: readonly VitalId[] = [
  'arterialPh',
  'paco2MmHg',
  'pao2MmHg',
  'spo2Percent',
  'lactateMmolPerL',
  'glucoseMmolPerL',
];

const KPA = 7.50062;
const rounded = (value: number, perUnit: number): number => Math.round(value * perUnit) / perUnit;

/** Henderson-Hasselbalch, pK 6.1, CO2 solubility 0.0307 mmol/L per mmHg (textbook). */
function bicarbonate(pH: number, pco2MmHg: number): number {
  return 0.0307 * pco2MmHg * pow(10, pH - 6.1);
}

/**
 * What is in the blood now: the model's, moved by what a script or an override lays over it. Bicarbonate and base excess
 * stay those of the model unless pH or CO2 is laid over.
 */
function trueGas(core: RunCore, site: BloodGasSite): BloodGas {
  const gas = bloodGas(core.plan.model, core.patient, site);
  const { vitals, modelVitals } = core;
  if (vitals === modelVitals) return gas;
  const moved = (vital: VitalId): number => vitals[vital] - modelVitals[vital];
  const pco2MmHg = Math.max(1, gas.pco2MmHg + moved('paco2MmHg'));
  const po2MmHg = Math.max(1, site === 'arterial' ? gas.po2MmHg + moved('pao2MmHg') : gas.po2MmHg);
  const pH = gas.pH + moved('arterialPh');
  const saturation = site === 'arterial' ? gas.saturationPercent + moved('spo2Percent') : gas.saturationPercent;
  const acidBase = moved('arterialPh') !== 0 || moved('paco2MmHg') !== 0;
  const bicarbonateMmolPerL = acidBase ? bicarbonate(pH, pco2MmHg) : gas.bicarbonateMmolPerL;
  return {
    ...gas,
    pH,
    pco2MmHg,
    pco2KPa: pco2MmHg / KPA,
    po2MmHg,
    po2KPa: po2MmHg / KPA,
    bicarbonateMmolPerL,
    baseExcessMmolPerL: standardBaseExcess(pH, bicarbonateMmolPerL),
    saturationPercent: Math.min(100, Math.max(0, saturation)),
    lactateMmolPerL: Math.max(0, gas.lactateMmolPerL + moved('lactateMmolPerL')),
    glucoseMmolPerL: Math.max(0, gas.glucoseMmolPerL + moved('glucoseMmolPerL')),
  };
}

/**
 * What the analyser prints: the truth with its own spread, rounded. Standard deviations of repeated samples from the
 * smallest detectable differences of Mallat J et al. Medicine 2015 (PMC4602629): PCO2 0.74 mmHg, PO2 3.3 mmHg, saturation
 * 0.44 %. pH 0.008, lactate and glucose 3 %: from memory. Bicarbonate and base excess are computed from what was printed,
 * as an analyser does. The noise depends on the run's seed and the sample's number alone, so one test never alters another.
 */
function printed(gas: BloodGas, seed: number, seq: number): BloodGas {
  const stream = new Int32Array([streamSeed((seed ^ Math.imul(seq, 0x9e3779b1)) >>> 0, 7)]);
  const spread = (sd: number): number => nextNoise(stream, 0) * sd;
  const pH = rounded(gas.pH + spread(0.008), 100);
  const pco2 = Math.max(1, gas.pco2MmHg + spread(0.74));
  const po2 = Math.max(1, gas.po2MmHg + spread(Math.min(3.3, gas.po2MmHg * 0.05)));
  const saturation = gas.saturationPercent + spread(0.44);
  const bicarbonateMmolPerL = bicarbonate(pH, pco2);
  return {
    site: gas.site,
    pH,
    pco2MmHg: rounded(pco2, 1),
    pco2KPa: rounded(pco2 / KPA, 10),
    po2MmHg: rounded(po2, 1),
    po2KPa: rounded(po2 / KPA, 10),
    bicarbonateMmolPerL: rounded(bicarbonateMmolPerL, 10),
    baseExcessMmolPerL: rounded(standardBaseExcess(pH, bicarbonateMmolPerL), 10),
    lactateMmolPerL: rounded(gas.lactateMmolPerL * (1 + spread(0.03)), 10),
    glucoseMmolPerL: rounded(gas.glucoseMmolPerL * (1 + spread(0.03)), 10),
    haemoglobinGPerDl: rounded(gas.haemoglobinGPerDl, 10),
    saturationPercent: Math.min(100, Math.max(0, rounded(saturation, 1))),
  };
}

/** A test is asked for: the sample is taken now, as told; a request logged late is answered that much sooner. */
export function takeSample(core: RunCore, event: Extract<RunEvent, { kind: 'intervention' }>, name: string): void {
  if (!Object.hasOwn(TESTS, event.intervention)) return;
  const { turnaroundMs } = TESTS[event.intervention]!;
  const site = SITES.find((each) => each === event.site) ?? 'arterial';
  const truth = trueGas(core, site);
  const due = Math.ceil((event.occurredAtMs + turnaroundMs) / STEP_MS) * STEP_MS;
  const sample: Sample = {
    seq: event.seq,
    test: event.intervention,
    name,
    occurredAtMs: event.occurredAtMs,
    sampledAtMs: core.clockMs,
    dueAtMs: Math.max(core.clockMs, due),
    values: printed(truth, core.plan.definition.seed, event.seq),
    true: truth,
    overridden: SHOWN_BY_GAS.filter((vital) => isOverridden(core, vital)),
  };
  core.samples.push(sample);
  if (sample.dueAtMs <= core.clockMs) core.sink?.(resultOf(sample, core.clockMs));
}

/** Tells the answers that fall due at this step. */
export function stepResults(core: RunCore): void {
  const clock = core.clockMs;
  for (let i = 0; i < core.samples.length; i++) {
    if (core.samples[i]!.dueAtMs === clock) core.sink?.(resultOf(core.samples[i]!, clock));
  }
}

export function resultOf(sample: Sample, atMs: number): Extract<Derived, { kind: 'result' }> {
  const { seq, test, sampledAtMs, values, overridden } = sample;
  return {
    kind: 'result',
    atMs,
    seq,
    test,
    sampledAtMs,
    values,
    true: sample.true,
    text: gasText(values),
    overridden: [...overridden],
  };
}

const minus = (value: number): string => `${value < 0 ? '−' : ''}${Math.abs(value).toFixed(1)}`;

/** The printed values in words, kPa first as on an analyser in the United Kingdom. */
export function gasText(gas: BloodGas): string {
  const pressure = (kPa: number, mmHg: number): string => `${kPa.toFixed(1)} kPa (${mmHg.toFixed(0)} mmHg)`;
  const title = `${gas.site.charAt(0).toUpperCase()}${gas.site.slice(1)} gas`;
  return [
    `${title}: pH ${gas.pH.toFixed(2)}`,
    `PCO2 ${pressure(gas.pco2KPa, gas.pco2MmHg)}`,
    `PO2 ${pressure(gas.po2KPa, gas.po2MmHg)}`,
    `saturation ${gas.saturationPercent.toFixed(0)} %`,
    `bicarbonate ${gas.bicarbonateMmolPerL.toFixed(1)} mmol/L`,
    `base excess ${minus(gas.baseExcessMmolPerL)} mmol/L`,
    `lactate ${gas.lactateMmolPerL.toFixed(1)} mmol/L`,
    `glucose ${gas.glucoseMmolPerL.toFixed(1)} mmol/L`,
    `haemoglobin ${gas.haemoglobinGPerDl.toFixed(1)} g/dL`,
  ].join(', ');
}
