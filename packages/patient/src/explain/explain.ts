/** "Why is it what it is?" answered in the model's own terms. For faculty and the debrief; allocates freely. */
import { unknownId } from '../errors.ts';
import type { Explanation, ExplanationTerm, PatientModel, PatientState, VitalId } from '../types.ts';
import { createVitals, readVitals } from '../core/state.ts';
import { illnessTerms } from './illness-terms.ts';
import type { TermGroup } from './illness-terms.ts';
import { SLOTS } from '../core/layout.ts';
import type { Parameters } from '../core/parameters.ts';

const X = SLOTS;

type Trend = ExplanationTerm['trend'];

function trend(now: number, then: number, still: number): Trend {
  return now - then > still ? 'rising' : then - now > still ? 'falling' : 'steady';
}

/** Terms behind one vital, most direct first. Throws for an unknown vital. */
export function explain(model: PatientModel, state: PatientState, vital: VitalId): Explanation {
  const p = model.p as Parameters;
  const s = state;
  const values = readVitals(model, state, createVitals());
  if (!(vital in values)) throw unknownId('unknown-vital', vital, Object.keys(values));
  const usual = TERMS[group(vital)].map((make) => make(p, s));
  // An illness of its own comes right after the two most direct terms.
  const terms = [...usual.slice(0, 2), ...illnessTerms(s, group(vital)), ...usual.slice(2)];
  // What plays no part is left out of the sentence, not out of the list.
  const telling = terms.filter((one) => one.unit !== '%' || one.value >= 0.5);
  const shown = telling.slice(0, terms.length > usual.length ? 7 : 5).map(say);
  const because = shown.length > 0 ? shown.join(', ') : 'nothing out of the usual behind it';
  return { vital, value: values[vital], text: `${lead(vital, values[vital])}: ${because}.`, terms };
}

type Group = TermGroup;

function group(vital: VitalId): Group {
  switch (vital) {
    case 'spo2Percent':
    case 'pao2MmHg':
    case 'fio2Fraction':
      return 'oxygen';
    case 'respiratoryRatePerMin':
    case 'ventilationRatio':
      return 'breathing';
    case 'paco2MmHg':
    case 'etco2MmHg':
    case 'arterialPh':
      return 'carbon';
    case 'heartRatePerMin':
    case 'pulseRatePerMin':
    case 'rhythm':
      return 'heart';
    case 'systolicMmHg':
    case 'diastolicMmHg':
    case 'meanMmHg':
    case 'arrested':
    case 'lactateMmolPerL':
      return 'pressure';
    case 'capillaryRefillS':
    case 'perfusionFraction':
      return 'skin';
    case 'consciousnessFraction':
      return 'brain';
    case 'bronchospasmFraction':
    case 'upperAirwayFraction':
      return 'airway';
    default:
      return 'other';
  }
}

const WORDS: Readonly<Record<VitalId, readonly [string, string, number]>> = {
  heartRatePerMin: ['Heart rate', '/min', 0],
  pulseRatePerMin: ['Pulse', '/min', 0],
  respiratoryRatePerMin: ['Breaths', '/min', 0],
  spo2Percent: ['Saturation', '%', 0],
  systolicMmHg: ['Systolic pressure', 'mmHg', 0],
  diastolicMmHg: ['Diastolic pressure', 'mmHg', 0],
  meanMmHg: ['Mean pressure', 'mmHg', 0],
  etco2MmHg: ['End-tidal CO2', 'mmHg', 0],
  temperatureCelsius: ['Temperature', '°C', 1],
  glucoseMmolPerL: ['Glucose', 'mmol/L', 1],
  capillaryRefillS: ['Capillary refill', 's', 1],
  perfusionFraction: ['Skin perfusion', 'of normal', 2],
  consciousnessFraction: ['Consciousness', 'of full', 2],
  paco2MmHg: ['Arterial PCO2', 'mmHg', 0],
  pao2MmHg: ['Arterial PO2', 'mmHg', 0],
  arterialPh: ['Arterial pH', '', 2],
  lactateMmolPerL: ['Lactate', 'mmol/L', 1],
  ventilationRatio: ['Ventilation', 'times resting', 2],
  bronchospasmFraction: ['Bronchospasm', 'of full', 2],
  upperAirwayFraction: ['Upper-airway narrowing', 'of full', 2],
  fio2Fraction: ['Inspired oxygen', '', 2],
  rhythm: ['Rhythm', '', 0],
  arrested: ['Arrest', '', 0],
};

function lead(vital: VitalId, value: number): string {
  const [name, u, digits] = WORDS[vital];
  return `${name} ${value.toFixed(digits)}${u === '' ? '' : ` ${u}`}`;
}

function say(term: ExplanationTerm): string {
  const digits = term.unit === '%' || term.unit === 'mmHg' ? 0 : 2;
  const v = String(Number(term.value.toFixed(digits)));
  const shown = term.unit === '' ? v : term.unit === '%' ? `${v} %` : `${v} ${term.unit}`;
  const moving = term.trend === 'rising' || term.trend === 'falling' ? ` and ${term.trend}` : '';
  // "Shunt" is a word; "FiO2" and "PEEP" stay as they are written.
  const [first = ''] = term.label.split(' ');
  const name = /^[A-Z][a-z-]+$/.test(first) ? term.label.charAt(0).toLowerCase() + term.label.slice(1) : term.label;
  return `${name} ${shown}${moving}`;
}

type Make = (p: Parameters, s: Float64Array) => ExplanationTerm;
const term =
  (
    id: string,
    label: string,
    unit: string,
    value: (p: Parameters, s: Float64Array) => number,
    lag?: (p: Parameters, s: Float64Array) => Trend,
  ): Make =>
  (p, s) => ({ id, label, unit, value: value(p, s), ...(lag ? { trend: lag(p, s) } : {}) });

const adrenaline = term(
  'adrenaline-effect',
  'Adrenaline effect',
  '%',
  (_p, s) => 100 * s[X.AD_E]!,
  (_p, s) => trend(s[X.AD_E]!, s[X.LAG_E]!, 0.004),
);
const mediators = term(
  'mediators',
  'Mediator activity',
  '%',
  (_p, s) => 100 * s[X.MED]!,
  (_p, s) => trend(s[X.MED]!, s[X.LAG_MED]!, 0.003),
);
const spasm = term(
  'bronchospasm',
  'Bronchospasm',
  '%',
  (_p, s) => 100 * s[X.B]!,
  (_p, s) => trend(s[X.B]!, s[X.LAG_B]!, 0.004),
);
const swelling = term('swelling', 'Upper-airway swelling', '%', (_p, s) => 100 * s[X.U]!);
const fio2 = term('fio2', 'FiO2', '', (_p, s) => s[X.FIO2]!);
const alveolar = term('alveolar-po2', 'Alveolar PO2', 'mmHg', (_p, s) => s[X.PA_O2]!);
const arterial = term(
  'arterial-po2',
  'Arterial PO2',
  'mmHg',
  (_p, s) => s[X.PAO2]!,
  (_p, s) => trend(s[X.SAO2]!, s[X.LAG_SAO2]!, 0.002),
);
const shunt = term('shunt', 'Shunt', '%', (_p, s) => 100 * s[X.SHUNT]!);
const lowVq = term('low-vq', 'Blood through poorly ventilated lung', '%', (_p, s) => 100 * s[X.LOW_VQ]!);
const ventilation = term(
  'ventilation',
  'Ventilation',
  'times resting',
  (p, s) => s[X.VE]! / p.ve0,
  (p, s) => trend(s[X.VE]! / p.ve0, s[X.LAG_VE]! / p.ve0, 0.01),
);
const demand = term('demand', 'Ventilation wanted', 'times resting', (p, s) => s[X.DEMAND]! / p.ve0);
const limit = term('limit', 'Most that can be sustained', 'times resting', (p, s) => s[X.MVV]! / p.ve0);
const fatigue = term('fatigue', 'Fatigue', '%', (_p, s) => 100 * s[X.FATIGUE]!);
const opioid = term('opioid', 'Opioid depression', '%', (_p, s) => 100 * s[X.OPIOID]!);
const deadSpace = term('dead-space', 'Dead space', '%', (_p, s) => 100 * s[X.VD_VT]!);
const pco2 = term(
  'pco2',
  'Arterial PCO2',
  'mmHg',
  (_p, s) => s[X.PA_CO2]!,
  (_p, s) => trend(s[X.PA_CO2]!, s[X.LAG_CO2]!, 0.15),
);
const volume = term('volume', 'Blood volume', '%', (p, s) => (100 * s[X.BV]!) / p.bv0);
const leaked = term('leaked', 'Plasma leaked', '%', (p, s) => (100 * s[X.LEAKED]!) / p.bv0);
const filling = term('filling', 'Filling of the heart', '%', (_p, s) => 100 * s[X.PRELOAD]!);
const resistance = term('resistance', 'Resistance', '%', (p, s) => (100 * s[X.SVR]!) / p.svr0);
const output = term('output', 'Output', '%', (p, s) => (100 * s[X.CO]!) / p.co0);
const reflex = term('reflex', 'Reflex drive', '%', (_p, s) => 100 * s[X.SYMP]!);
const saturation = term(
  'saturation',
  'Saturation',
  '%',
  (_p, s) => 100 * s[X.SAO2]!,
  (_p, s) => trend(s[X.SAO2]!, s[X.LAG_SAO2]!, 0.002),
);
const mean = term(
  'mean',
  'Mean pressure',
  'mmHg',
  (_p, s) => s[X.MAP]!,
  (_p, s) => trend(s[X.MAP]!, s[X.LAG_MAP]!, 0.4),
);
const debt = term('debt', 'Hypoxic-ischaemic debt', '%', (_p, s) => 100 * s[X.DEBT]!);
const glucose = term('glucose', 'Glucose', 'mmol/L', (_p, s) => s[X.GLUCOSE]!);
const lactate = term('lactate', 'Lactate', 'mmol/L', (_p, s) => s[X.LACTATE]!);

const TERMS: Readonly<Record<Group, readonly Make[]>> = {
  oxygen: [arterial, fio2, shunt, lowVq, adrenaline, alveolar, ventilation, spasm, mediators],
  breathing: [demand, limit, fatigue, spasm, swelling, opioid, pco2],
  carbon: [ventilation, deadSpace, fatigue, spasm, output, lactate],
  heart: [reflex, mediators, adrenaline, saturation, mean, debt],
  pressure: [output, resistance, volume, leaked, filling, adrenaline, mediators, debt],
  skin: [reflex, mean, mediators, output],
  brain: [saturation, mean, pco2, opioid, glucose, fatigue],
  airway: [mediators, adrenaline, spasm, swelling],
  other: [glucose, adrenaline],
};
