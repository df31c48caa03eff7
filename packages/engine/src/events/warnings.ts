/**
 * Inline cautions for a command about to be logged. Never refusals: what the user does is logged as given and answered by
 * the patient. Training only; the doses are the chosen pack's.
 */
import { deviceUseText } from '@breathline/patient';
import {
  convertAmount,
  formatAmount,
  formatNumber,
  type DoseSuggestion,
  type Intervention,
} from '@breathline/scenario';
import { planOf, type Plan } from '../run/plan.ts';
import type { EventBody, RunDefinition, RunView } from '../types.ts';
import { clampVital, VITALS, vitalText } from '../vitals.ts';
import { suggestFromPlan } from './doses.ts';

export interface CommandWarning {
  readonly code: string;
  readonly message: string;
}

type Give = Extract<EventBody, { kind: 'intervention' }>;

/** At or beyond this many times the pack's dose the slip is called tenfold. */
const TENFOLD = 8;
/** Used where no pack is chosen. Teaching values, no source. */
const USUAL_TOLERANCE = { partial: 0.25, criticalHigh: 2, criticalLow: 0.5 };
/** Oxygen flows beyond this are not delivered by ward equipment. Common practice, no source. */
const MOST_FLOW_L_PER_MIN = 70;
/** A weight further off than this share is pointed out. Common practice, no source. */
const WEIGHT_SHARE = 0.15;

/** Cautions for one command, most serious first. Empty when there is nothing to say. */
export function commandWarnings(definition: RunDefinition, view: RunView, body: EventBody): CommandWarning[] {
  const plan = planOf(definition);
  switch (body.kind) {
    case 'intervention':
      return interventionWarnings(plan, view, body);
    case 'assessment':
    case 'intervention-stopped':
      return plan.interventions.has(body.intervention) ? [] : [unknownItem(body.intervention)];
    case 'cuff-pressed':
      return view.shown.attached.includes('bp-cuff')
        ? view.shown.cuff.inflating
          ? [{ code: 'cuff-busy', message: 'The cuff is already inflating.' }]
          : []
        : [{ code: 'cuff-off', message: 'The blood pressure cuff is not on the patient.' }];
    case 'cuff-interval':
      return body.everyMs !== null && body.everyMs < 60_000
        ? [{ code: 'cuff-interval-short', message: 'The shortest cuff interval is 1 min; 1 min is used.' }]
        : [];
    case 'vital-overridden':
      return overrideWarnings(body);
    case 'state-forced': {
      const thread = plan.threads.find((each) => each.thread.id === body.thread);
      const known = thread?.states.some((state) => state.state.id === body.state) ?? false;
      return known
        ? []
        : [
            {
              code: 'state-unknown',
              message: `There is no state “${body.state}” in “${body.thread}”; nothing changes.`,
            },
          ];
    }
    case 'faculty-flag':
      return plan.flags.has(body.label)
        ? []
        : [
            {
              code: 'flag-unknown',
              message: `No transition of this scenario waits for “${body.label}”: it is logged, and nothing changes.`,
            },
          ];
    default:
      return [];
  }
}

function unknownItem(id: string): CommandWarning {
  return {
    code: 'intervention-unknown',
    message: `“${id}” is not in this run's formulary: it is logged, and the patient does not answer.`,
  };
}

function overrideWarnings(body: Extract<EventBody, { kind: 'vital-overridden' }>): CommandWarning[] {
  if (!(body.vital in VITALS)) return [{ code: 'vital-unknown', message: `There is no vital “${body.vital}”.` }];
  if (Number.isFinite(body.to) && clampVital(body.vital, body.to) === body.to) return [];
  const { label, low, high } = VITALS[body.vital];
  return [
    {
      code: 'value-out-of-bounds',
      message: `${label} can be ${vitalText(body.vital, low)} to ${vitalText(body.vital, high)}; ${formatNumber(body.to)} is held within that.`,
    },
  ];
}

function interventionWarnings(plan: Plan, view: RunView, body: Give): CommandWarning[] {
  const item = plan.interventions.get(body.intervention);
  if (item === undefined) return [unknownItem(body.intervention)];
  const found: CommandWarning[] = [];
  const add = (code: string, message: string): void => void found.push({ code, message });
  if (item.hazard !== undefined) add('hazard', item.hazard);
  if (item.kind === 'drug' || item.kind === 'fluid') doseWarnings(plan, item, body, add);
  routeWarnings(plan, item, body, add);
  const flow = body.flowLPerMin;
  if (flow != null && !(flow >= 0 && flow <= MOST_FLOW_L_PER_MIN)) {
    add('flow-absurd', `${formatNumber(flow)} L/min is outside 0 to ${MOST_FLOW_L_PER_MIN} L/min.`);
  }
  const weight = body.weightUsedKg;
  const trueWeight = plan.profile.weightKg;
  if (weight != null && !(Math.abs(weight - trueWeight) <= trueWeight * WEIGHT_SHARE)) {
    add(
      'weight-differs',
      `The team used ${formatNumber(weight)} kg; this patient weighs ${formatNumber(trueWeight)} kg.`,
    );
  }
  if (view.phase === 'ended') add('run-ended', 'The run has ended: this is logged and the patient does not answer.');
  return found;
}

/** "The pack's dose", or the formulary's where the pack has none. */
function whose(suggested: DoseSuggestion): string {
  return suggested.packId === null ? 'The formulary’s dose' : 'The pack’s dose';
}

function doseWarnings(plan: Plan, item: Intervention, body: Give, add: (code: string, message: string) => void): void {
  const suggested = suggestFromPlan(plan, item.id);
  const packSays = suggested === null ? '' : ` ${whose(suggested)} is ${suggested.text} (training only).`;
  if (body.amount === null) {
    if (item.unit !== undefined && body.step === 'given') {
      const assumed =
        suggested === null ? 'the patient does not answer' : 'the patient answers as to the suggested dose';
      add('dose-unknown', `No dose was entered: ${assumed}.${packSays}`);
    }
    return;
  }
  if (!Number.isFinite(body.amount) || body.amount <= 0) {
    const entered = Number.isFinite(body.amount) ? formatNumber(body.amount) : 'not a number';
    add(
      'dose-not-positive',
      `A dose of ${entered} cannot be given: it is logged, and the patient does not answer.${packSays}`,
    );
    return;
  }
  const use = item.deviceDoses === undefined || body.step !== 'given' ? null : deviceUseText(body.deviceUse);
  if (use !== null) add('device-use', `${use.slice(0, 1).toUpperCase()}${use.slice(1)}.`);
  if (body.deviceUse !== undefined && item.deviceDoses === undefined)
    add('not-a-device', `${item.name} is no automatic injector: how it was held is logged, and changes nothing.`);
  if (item.unit === undefined) return;
  const sizes = item.deviceDoses;
  if (body.unit === undefined) {
    add('dose-without-unit', `The dose has no unit: ${formatNumber(body.amount)} is taken as ${item.unit}.${packSays}`);
  }
  const amount = body.unit === undefined ? body.amount : convertAmount(body.amount, body.unit, item.unit);
  if (amount === null) {
    add(
      'unit-does-not-fit',
      `${item.name} is given in ${item.unit}, not in ${body.unit}: the number is taken as ${item.unit}.`,
    );
    return;
  }
  if (sizes !== undefined && !sizes.some((size) => Math.abs(size - amount) < 1e-6)) {
    add(
      'no-such-device',
      `${item.name} comes as ${sizes.map((size) => formatAmount(size, item.unit!)).join(' or ')}; ${formatAmount(amount, item.unit)} is none of these.`,
    );
  }
  const given = formatAmount(amount, item.unit) + (item.ratePer === undefined ? '' : `/${item.ratePer}`);
  // The next size up is what guidance tells people to use when it is the one at hand.
  if (suggested !== null && !isNextSizeUp(sizes, suggested.amount, amount))
    ratioWarning(plan, suggested, amount, given, packSays, add);
  ceilingWarning(plan, item, amount, given, add);
  volumeWarning(item, body, amount, add);
}

/** Is this the smallest device above the suggested one? */
function isNextSizeUp(sizes: readonly number[] | undefined, suggested: number, amount: number): boolean {
  return sizes !== undefined && amount > suggested && sizes.find((size) => size > suggested + 1e-6) === amount;
}

function ratioWarning(
  plan: Plan,
  suggested: DoseSuggestion,
  amount: number,
  given: string,
  packSays: string,
  add: (code: string, message: string) => void,
): void {
  const times = amount / (suggested.amountHigh ?? suggested.amount);
  const share = amount / suggested.amount;
  const { criticalHigh, criticalLow, partial } = plan.pack?.doseTolerance ?? USUAL_TOLERANCE;
  if (times >= TENFOLD) {
    add('dose-tenfold', `${given} is about ${Math.round(times)} times the usual.${milligramSlip(times)}${packSays}`);
  } else if (times >= criticalHigh) {
    add('dose-far-above', `${given} is ${times.toFixed(1)} times the usual.${packSays}`);
  } else if (share <= 1 / TENFOLD) {
    add('dose-tenth', `${given} is about one ${Math.round(1 / share)}th of the usual.${packSays}`);
  } else if (share <= criticalLow) {
    add('dose-far-below', `${given} is ${Math.round(share * 100)} % of the usual.${packSays}`);
  } else if (times > 1 + partial || share < 1 - partial) {
    add('dose-differs', `${given} is not the usual.${packSays}`);
  }
}

/** A thousand times the dose is nearly always one unit for another. */
function milligramSlip(times: number): string {
  return times > 500 && times < 2000 ? ' Milligrams for micrograms?' : '';
}

function ceilingWarning(
  plan: Plan,
  item: Intervention,
  amount: number,
  given: string,
  add: (code: string, message: string) => void,
): void {
  const { perKg, total } = item.warnAbove ?? {};
  const byWeight = perKg === undefined ? Infinity : perKg * plan.profile.weightKg;
  const ceiling = Math.min(byWeight, total ?? Infinity);
  if (amount > ceiling) {
    add(
      'dose-above-ceiling',
      `${given} is above the usual ceiling of ${formatNumber(ceiling)} ${item.unit} for this patient.`,
    );
  }
}

function volumeWarning(
  item: Intervention,
  body: Give,
  amount: number,
  add: (code: string, message: string) => void,
): void {
  if (body.volumeMl == null) return;
  if (!(body.volumeMl > 0)) {
    add(
      'volume-not-positive',
      `A volume of ${formatNumber(body.volumeMl)} mL cannot be given: the amount entered counts.`,
    );
    return;
  }
  const strength = item.concentrations?.find((each) => each.label === body.concentration);
  if (strength === undefined || !(strength.perMl > 0)) return;
  const held = (body.volumeMl * strength.amount) / strength.perMl;
  // 5 % covers what a syringe can be read to.
  if (Math.abs(held - amount) <= amount * 0.05 + 1e-9) return;
  add(
    'volume-does-not-match',
    `${formatNumber(body.volumeMl)} mL of ${strength.label} holds ${formatAmount(held, item.unit ?? '')}, not ${formatAmount(amount, item.unit ?? '')}.`,
  );
}

function routeWarnings(plan: Plan, item: Intervention, body: Give, add: (code: string, message: string) => void): void {
  const routes: readonly string[] = item.routes ?? (item.route === undefined ? [] : [item.route]);
  if (body.route !== undefined && routes.length > 0 && !routes.includes(body.route)) {
    add('route-unusual', `${item.name} is for ${routes.join(' or ')}, not ${body.route}.`);
  }
  if (body.concentration === undefined || item.concentrations === undefined) return;
  const labels = item.concentrations.map((each) => each.label);
  const expected = plan.pack?.doses.find((dose) => dose.intervention === item.id)?.concentration;
  if (expected !== undefined && expected !== body.concentration) {
    const route = (body.route ?? item.route ?? '').toUpperCase();
    add(
      'strength-for-route',
      `${body.concentration} is not the strength for this route (${route}): the pack uses ${expected}.`,
    );
  } else if (expected === undefined && !labels.includes(body.concentration)) {
    add('strength-unknown', `${item.name} comes as ${labels.join(' or ')}; ${body.concentration} is not listed.`);
  }
}
