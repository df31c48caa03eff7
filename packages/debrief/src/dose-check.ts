/**
 * A dose as given against one rule of one pack. The pack chosen for the run is the only judge: a dose right under one
 * published guideline may be far out under another.
 */
import { deviceDelivery, deviceUseText, type DeviceUse } from '@breathline/patient';
import {
  allowedDose,
  bandFor,
  bandWords,
  doseUnit,
  type DosePatient,
  type DoseRule,
  type GuidelinePack,
  type Intervention,
} from '@breathline/scenario';
import type { DoseCheck } from './types.ts';
import { amountText, plainNumber, sentence, siteText } from './words.ts';

/** What is known of a dose. Amount in `unit`, which defaults to the intervention's own. */
export interface DoseGiven {
  readonly amount: number | null;
  readonly unit?: string;
  /** A strength's label as the formulary has it, for instance "1 mg/mL". */
  readonly concentration?: string;
  readonly volumeMl?: number | null;
  readonly route?: string;
  readonly site?: string;
  /** Faculty saw the volume and strength. */
  readonly doseSeen: boolean;
  /** The weight the team used, if they said one. */
  readonly weightUsedKg?: number | null;
  readonly deviceUse?: DeviceUse;
}

/**
 * Why another size of injector is no overdose error: Australasian Society of Clinical Immunology and Allergy, frequently
 * asked questions on adrenaline injectors (as quoted at allergyfacts.org.au, seen 2026-11-25): a 300 microgram device where
 * a 150 is wanted, or a 500 where a 300 is, is used in preference to none; so is a smaller one.
 */
const SIZE_SOURCE = 'ASCIA advice on adrenaline injectors';
/** Below this share of the label a device was not used well enough to count as a whole dose (teaching value, no source). */
const WHOLE_ENOUGH = 0.75;

export interface DoseContext {
  readonly intervention?: Intervention;
  readonly ageYears: number;
  readonly trueWeightKg: number;
  readonly tolerance: GuidelinePack['doseTolerance'];
}

/** Weights further apart than this are reported as a weight error (teaching value, no source). */
const WEIGHT_TOLERANCE = 0.1;
/** Floating-point slack so that exactly 10 % off counts as within 10 %. */
const SLACK = 1e-9;

const PER_MG: Readonly<Record<string, number>> = { micrograms: 1000, mg: 1, g: 0.001 };

interface Allowed {
  readonly low: number;
  readonly high: number;
  readonly because: string;
}

/** What the rule allows, and why, in words. */
function allowedBy(rule: DoseRule, unit: string, ageYears: number, weightKg: number): Allowed | null {
  const allowed = allowedDose(rule, { ageYears, weightKg });
  if (!allowed) return null;
  if (allowed.rule === 'age band')
    return { low: allowed.low, high: allowed.high, because: bandWords(bandFor(rule, { ageYears, weightKg })!) };
  const { amount = 0, amountHigh } = rule.perKg ?? {};
  const each = amountHigh === undefined ? plainNumber(amount) : `${plainNumber(amount)} to ${plainNumber(amountHigh)}`;
  const capped = allowed.capped ? ', capped at the maximum' : '';
  return { low: allowed.low, high: allowed.high, because: `${each} ${unit}/kg × ${plainNumber(weightKg)} kg${capped}` };
}

/** What the table beside the rule allows: right too, though the rule is what is suggested. */
function tabled(rule: DoseRule, patient: DosePatient): Allowed | null {
  const band = rule.table && bandFor({ bands: rule.table }, patient);
  if (!band) return null;
  return { low: band.amount, high: band.amountHigh ?? band.amount, because: `its table, ${bandWords(band)}` };
}

/** Of the rule and its table the one the dose is nearer to; the rule where both are as near, or no amount is known. */
function nearer(amount: number | null, byRule: Allowed | null, byTable: Allowed | null): Allowed | null {
  if (byRule === null || byTable === null) return byRule ?? byTable;
  if (amount === null) return byRule;
  const off = ({ low, high }: Allowed): number => Math.abs(Math.log(Math.max(ratioTo(amount, low, high), 1e-9)));
  return off(byTable) < off(byRule) - SLACK ? byTable : byRule;
}

/** Judges one dose. Never throws: what can't be judged says why. */
export function checkDose(given: DoseGiven, rule: DoseRule | null, context: DoseContext): DoseCheck {
  const unit = context.intervention?.unit ?? given.unit ?? '';
  const weightUsedKg = given.weightUsedKg ?? null;
  const base = { unit, weightUsedKg, trueWeightKg: context.trueWeightKg };
  if (rule === null) {
    return {
      ...base,
      verdict: 'not-applicable',
      givenAmount: given.amount,
      allowed: null,
      slips: [],
      routeOk: null,
      siteOk: null,
      text: 'The pack has no dose rule for this.',
    };
  }
  const slips: string[] = [];
  const measured = amountGiven(given, unit, context.intervention);
  const amount = measured.amount;
  if (measured.mismatch) slips.push(measured.mismatch);

  const judgedWeightKg = weightUsedKg ?? context.trueWeightKg;
  const patient = { ageYears: context.ageYears, weightKg: judgedWeightKg };
  const allowed = nearer(amount, allowedBy(rule, unit, context.ageYears, judgedWeightKg), tabled(rule, patient));
  const { routeOk, siteOk, dangerousRoute, words: placeWords } = placeCheck(given, context.intervention);
  slips.push(...placeWords);

  const ratio = amount === null || allowed === null ? null : ratioTo(amount, allowed.low, allowed.high);
  if (amount !== null && allowed !== null && ratio !== null) {
    slips.push(...sizeSlips(amount, allowed, rule, given, context));
  }
  const weightSlip = weightError(weightUsedKg, context.trueWeightKg);
  if (weightSlip) slips.push(weightSlip);

  const sized: DoseCheck['verdict'] =
    allowed === null
      ? 'not-applicable'
      : ratio === null || !given.doseSeen
        ? 'unverified'
        : // Less fluid than asked for is given again: too little is wrong, never the critical kind (common practice, no source).
          ratio < 1 && context.intervention?.kind === 'fluid'
          ? bySize(ratio, { ...context.tolerance, criticalLow: 0 })
          : bySize(ratio, context.tolerance);
  const device = deviceWords(amount, allowed, given, context.intervention);
  slips.push(...device.words);
  const bySizes = sized === 'unverified' || sized === 'not-applicable' ? sized : (device.verdict ?? sized);
  const verdict = dangerousRoute
    ? 'critical-error'
    : routeOk === false && (bySizes === 'right' || bySizes === 'partial')
      ? 'minor-error'
      : bySizes;

  return {
    ...base,
    verdict,
    givenAmount: amount,
    allowed: allowed ? [allowed.low, allowed.high] : null,
    slips,
    routeOk,
    siteOk,
    text: doseText(verdict, amount, unit, allowed, given, slips, rule, context),
  };
}

/**
 * An injector can not be set: of the sizes it comes in, the smallest that holds the pack's dose is right, the next up is
 * accepted, the next down is better than none. How it was used may take some of that away.
 */
function deviceWords(
  amount: number | null,
  allowed: Allowed | null,
  given: DoseGiven,
  intervention: Intervention | undefined,
): { readonly verdict: DoseCheck['verdict'] | null; readonly words: string[] } {
  const sizes = intervention?.deviceDoses;
  if (sizes === undefined || amount === null) return { verdict: null, words: [] };
  const words: string[] = [];
  const use = deviceUseText(given.deviceUse);
  if (use !== null) words.push(use);
  const { muscleShare, skinShare } = deviceDelivery(given.deviceUse);
  const got = muscleShare + skinShare;
  let verdict: DoseCheck['verdict'] | null = got <= 0 ? 'critical-error' : null;
  const at = sizes.findIndex((size) => Math.abs(size - amount) < SLACK * size);
  if (verdict === null && allowed !== null && at >= 0) {
    const fits = sizes.findIndex((size) => size >= allowed.low * (1 - SLACK));
    const fitting = fits < 0 ? sizes.length - 1 : fits;
    if (at === fitting) verdict = 'right';
    else if (at === fitting + 1) {
      verdict = 'right';
      words.push(`next device size up: accepted, not an overdose (${SIZE_SOURCE})`);
    } else if (at === fitting - 1) {
      verdict = amount >= allowed.low * 0.9 ? 'right' : 'partial';
      if (verdict === 'partial')
        words.push(`next device size down: better than none, and a second will be wanted sooner (${SIZE_SOURCE})`);
    }
    if (verdict === 'right' && got < WHOLE_ENOUGH) verdict = 'partial';
  }
  return { verdict, words };
}

/** Nearest end of the range as a ratio: 1 inside it, above 1 over it, below 1 under it. */
function ratioTo(amount: number, low: number, high: number): number {
  if (amount > high) return high > 0 ? amount / high : Number.POSITIVE_INFINITY;
  return amount < low ? amount / low : 1;
}

function bySize(ratio: number, tolerance: DoseContext['tolerance']): DoseCheck['verdict'] {
  const off = Math.abs(ratio - 1);
  if (off <= tolerance.full + SLACK) return 'right';
  if (off <= tolerance.partial + SLACK) return 'partial';
  if (ratio >= tolerance.criticalHigh - SLACK || ratio <= tolerance.criticalLow + SLACK) return 'critical-error';
  return 'minor-error';
}

/** The amount in the intervention's unit: volume times strength where both are known, else as recorded. */
export function amountGiven(
  given: Omit<DoseGiven, 'doseSeen'>,
  unit: string,
  intervention: Intervention | undefined,
): { readonly amount: number | null; readonly mismatch: string | null } {
  const recorded = given.amount === null ? null : convert(given.amount, given.unit ?? unit, unit);
  const strength = intervention?.concentrations?.find((one) => one.label === given.concentration);
  if (!strength || typeof given.volumeMl !== 'number' || given.volumeMl < 0 || strength.perMl <= 0)
    return { amount: usable(recorded), mismatch: null };
  const drawn = (given.volumeMl * strength.amount) / strength.perMl;
  const differs = recorded !== null && Math.abs(drawn - recorded) > 0.05 * Math.max(drawn, recorded);
  return {
    amount: usable(drawn),
    mismatch: differs
      ? `${plainNumber(given.volumeMl)} mL of ${strength.label} is ${amountText(drawn, unit)}, not the ${amountText(recorded, unit)} recorded`
      : null,
  };
}

function usable(amount: number | null): number | null {
  return amount !== null && Number.isFinite(amount) && amount >= 0 ? amount : null;
}

function convert(amount: number, from: string, to: string): number | null {
  if (from === to) return amount;
  const fromPer = PER_MG[from];
  const toPer = PER_MG[to];
  // Multiplying first keeps 0.15 mg exactly 150 micrograms.
  return fromPer === undefined || toPer === undefined ? null : (amount * toPer) / fromPer;
}

const POWERS: readonly (readonly [number, string])[] = [
  [10, 'ten times the dose'],
  [100, 'a hundred times the dose'],
  [1 / 10, 'a tenth of the dose'],
  [1 / 100, 'a hundredth of the dose'],
];

function sizeSlips(
  amount: number,
  allowed: { readonly low: number; readonly high: number },
  rule: DoseRule,
  given: DoseGiven,
  context: DoseContext,
): string[] {
  const fits = (value: number): boolean =>
    Math.abs(ratioTo(value, allowed.low, allowed.high) - 1) <= context.tolerance.partial + SLACK;
  if (fits(amount)) return [];
  const strengths = context.intervention?.concentrations ?? [];
  const used = strengths.find((one) => one.label === given.concentration);
  const expected = strengths.find((one) => one.label === rule.concentration);
  if (used && expected && used !== expected) {
    const factor = used.amount / used.perMl / (expected.amount / expected.perMl);
    if (fits(amount / factor))
      return [`the right volume of the wrong strength: ${used.label} where the pack expects ${expected.label}`];
  }
  if (fits(amount / 1000)) return ['a thousand times the dose: milligrams for micrograms'];
  if (fits(amount * 1000)) return ['a thousandth of the dose: micrograms for milligrams'];
  for (const [factor, words] of POWERS) {
    if (!fits(amount / factor)) continue;
    // 3000 micrograms where 270 belong is not "ten times" to the letter.
    const exact = Math.abs(ratioTo(amount / factor, allowed.low, allowed.high) - 1) <= 0.02;
    return [exact ? words : `about ${words}`];
  }
  return [];
}

/**
 * The first route and site the formulary gives are the right ones; the others are there so that they can be recorded.
 * A vein and a bone are the same place to a drug.
 */
function placeCheck(given: DoseGiven, intervention: Intervention | undefined) {
  const best = intervention?.route ?? intervention?.routes?.[0];
  const route = given.route ?? best;
  const isVascular = (one: string | undefined) => one === 'iv' || one === 'io';
  const routeOk =
    route === undefined || best === undefined ? null : route === best || (isVascular(route) && isVascular(best));
  const words: string[] = [];
  if (routeOk === false) words.push(`given ${routeText(route)}; the route is ${routeText(best)}`);
  const bestSite = intervention?.sites?.[0];
  const siteOk = given.site === undefined || bestSite === undefined ? null : given.site === bestSite;
  if (siteOk === false)
    words.push(`site ${siteText(given.site ?? '')}; the recommended site is ${siteText(bestSite ?? '')}`);
  return { routeOk, siteOk, words, dangerousRoute: routeOk === false && isVascular(route) };
}

function routeText(route: string | undefined): string {
  if (route === undefined) return 'by an unknown route';
  return route.length <= 2 ? route.toUpperCase() : route;
}

function weightError(usedKg: number | null, trueKg: number): string | null {
  if (usedKg === null || trueKg <= 0 || Math.abs(usedKg / trueKg - 1) <= WEIGHT_TOLERANCE + SLACK) return null;
  return `for ${plainNumber(usedKg)} kg, not ${plainNumber(trueKg)} kg`;
}

const VERDICT_WORDS: Readonly<Record<DoseCheck['verdict'], string>> = {
  right: 'Right dose',
  partial: 'Dose a little off',
  'minor-error': 'Wrong dose',
  'critical-error': 'Critical dose error',
  unverified: 'Dose not verified',
  'not-applicable': 'No dose rule for this patient',
};

function doseText(
  verdict: DoseCheck['verdict'],
  amount: number | null,
  unit: string,
  allowed: { readonly low: number; readonly high: number; readonly because: string } | null,
  given: DoseGiven,
  slips: readonly string[],
  rule: DoseRule,
  context: DoseContext,
): string {
  const parts = [VERDICT_WORDS[verdict]];
  const shown = doseUnit(context.intervention, unit);
  const per = context.intervention?.ratePer === undefined ? '' : `/${context.intervention.ratePer}`;
  const drawn =
    typeof given.volumeMl === 'number' && !(unit === 'mL' && given.volumeMl === amount && !given.concentration)
      ? ` (${plainNumber(given.volumeMl)} mL${per}${given.concentration ? ` of ${given.concentration}` : ''})`
      : given.concentration
        ? ` (from ${given.concentration})`
        : '';
  parts.push(amount === null ? 'amount not recorded' : `${amountText(amount, shown)} given${drawn}`);
  if (allowed) {
    const range =
      allowed.low === allowed.high
        ? plainNumber(allowed.low)
        : `${plainNumber(allowed.low)} to ${plainNumber(allowed.high)}`;
    parts.push(`the pack allows ${range} ${shown} (${allowed.because})`);
  }
  if (!given.doseSeen && allowed) parts.push('volume and strength were not seen');
  parts.push(...slips);
  const used = given.weightUsedKg ?? null;
  if (rule.perKg && used !== null && amount !== null && weightError(used, context.trueWeightKg)) {
    const byTruth = allowedBy(rule, unit, context.ageYears, context.trueWeightKg);
    if (byTruth) {
      const verdictByTruth = bySize(ratioTo(amount, byTruth.low, byTruth.high), context.tolerance);
      parts.push(`by the true weight: ${VERDICT_WORDS[verdictByTruth].toLowerCase()}`);
    }
  }
  return `${sentence(parts.join('; '))}.`;
}
