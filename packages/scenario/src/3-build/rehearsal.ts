/** Builds a scenario's rehearsals. */
import type { DeviceUse } from '@breathline/patient';
import type { Expectation, Intervention, Library, Rehearsal, RehearsalAct } from '../types.ts';
import type { ActDoc, ExpectationDoc } from '../2-check/schema/rehearsal-schema.ts';
import type { ScenarioDoc } from '../2-check/schema/scenario-schema.ts';
import { resolveThread, type ThreadDoc } from '../2-check/threads.ts';
import { tidy } from '../words/quantity.ts';
import { buildCondition, buildVitalCondition } from './condition.ts';
import { amountIn, isPerKg, ms, need } from './quantities.ts';

/** A written dose (or dose per kg) in the intervention's unit, or null when it measures something else. */
export function actAmount(written: string, intervention: Intervention, weightKg: number): number | null {
  const quantity = need(written);
  const strength = intervention.concentrations?.[0];
  const amount = amountIn(quantity, {
    unit: intervention.unit,
    ratePer: intervention.ratePer,
    strengthPerMl: strength ? strength.amount / strength.perMl : undefined,
  });
  return amount === null ? null : tidy(isPerKg(quantity) ? amount * weightKg : amount);
}

export function buildRehearsals(doc: ScenarioDoc, threads: readonly ThreadDoc[], library: Library | null): Rehearsal[] {
  const threadOf = (state: string): string => resolveThread(threads, state) ?? threads[0]!.id;
  const weightKg = need(doc.patient.weight).value;
  return (doc.rehearsals ?? []).map((rehearsal) => {
    const acts = (rehearsal.does ?? [])
      .map((act) => buildAct(act, threadOf, library, weightKg))
      .sort((a, b) => a.atMs - b.atMs);
    const expect = rehearsal.expect.map((one) => buildExpectation(one, threadOf));
    const named = [...acts.map((act) => act.atMs), ...expect.flatMap(timesOf)];
    return {
      name: rehearsal.name,
      forMs: rehearsal.for ? ms(rehearsal.for) : Math.max(600_000, ...named.map((time) => time + 60_000)),
      acts,
      expect,
    };
  });
}

function timesOf(one: Expectation): number[] {
  if (one.kind === 'vital') return [one.atMs];
  return one.kind === 'state' ? [one.byMs ?? 0, one.notBeforeMs ?? 0] : [];
}

function buildAct(
  act: ActDoc,
  threadOf: (state: string) => string,
  library: Library | null,
  weightKg: number,
): RehearsalAct {
  return {
    atMs: ms(act.at),
    action: buildAction(act, threadOf, library, weightKg),
    ...(act.unless ? { unless: buildCondition(act.unless, threadOf) } : {}),
    ...(act['only-if'] ? { onlyIf: buildCondition(act['only-if'], threadOf) } : {}),
  };
}

function buildAction(
  act: ActDoc,
  threadOf: (state: string) => string,
  library: Library | null,
  weightKg: number,
): RehearsalAct['action'] {
  if (act.assess !== undefined) return { kind: 'assess', intervention: act.assess };
  if (act.attach !== undefined) return { kind: 'attach', device: act.attach };
  if (act.force !== undefined) return { kind: 'force', thread: act.thread ?? threadOf(act.force), state: act.force };
  if (act.faculty !== undefined) return { kind: 'faculty', label: act.faculty };
  const intervention = library?.interventions.find((one) => one.id === act.give);
  let amount: number | 'as-pack' | null = null;
  if (act.dose === 'as-pack' || (act.dose === undefined && intervention?.unit !== undefined)) amount = 'as-pack';
  else if (act.dose !== undefined && act.dose !== 'none' && intervention)
    amount = actAmount(act.dose, intervention, weightKg);
  return {
    kind: 'give',
    intervention: act.give!,
    amount,
    ...(act.flow ? { flowLPerMin: need(act.flow).value } : {}),
    ...(act.route ? { route: act.route } : {}),
    ...(act.site ? { site: act.site } : {}),
    ...(act['device-use'] ? { deviceUse: buildDeviceUse(act['device-use']) } : {}),
  };
}

function buildDeviceUse(doc: NonNullable<ActDoc['device-use']>): DeviceUse {
  const { held, 'past-date': past, fault } = doc;
  return {
    ...(held ? { heldSeconds: ms(held) / 1000 } : {}),
    // Written as an age, kept in months: 20 months come back as 20, not as 20.000000000000004.
    ...(past ? { monthsPastExpiry: tidy(need(past).value * 12) } : {}),
    ...(fault ? { fault } : {}),
  };
}

function buildExpectation(doc: ExpectationDoc, threadOf: (state: string) => string): Expectation {
  if ('vital' in doc) return { kind: 'vital', condition: buildVitalCondition(doc), atMs: ms(doc.at) };
  if ('target' in doc) return { kind: 'target', target: doc.target, result: doc.is };
  return {
    kind: 'state',
    thread: doc.thread ?? threadOf(doc.state),
    state: doc.state,
    ...(doc.by ? { byMs: ms(doc.by) } : {}),
    ...(doc['not-before'] ? { notBeforeMs: ms(doc['not-before']) } : {}),
    ...(doc.never ? { never: true } : {}),
  };
}
