/**
 * What every shipped scenario owes the educator who runs it tomorrow: rehearsals for good care, no care, late care and the
 * usual error; an ending for each that is really reached; no good ending for a patient who was harmed; everybody around
 * the patient written down; pictures that are there and say that they are drawings.
 */
import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { ageNorms } from '@breathline/patient';
import { rehearse, type RehearsalResult, type RunDefinition } from '@breathline/engine';
import type { Rehearsal } from '@breathline/scenario';
import { SHIPPED } from '../../packages/engine/test/shipped.ts';

const EXHIBITS = new URL('../../scenarios/exhibits/', import.meta.url);
const cases = SHIPPED.map((definition) => [definition.scenario.id, definition] as const);
const played = new Map<string, RehearsalResult>();
const play = (definition: RunDefinition, rehearsal: Rehearsal): RehearsalResult => {
  const key = `${definition.scenario.id} ${rehearsal.name}`;
  const result = played.get(key) ?? rehearse(definition, rehearsal);
  played.set(key, result);
  return result;
};
const entered = (result: RehearsalResult) =>
  result.derived.flatMap((fact) => (fact.kind === 'state-entered' ? [{ state: fact.state, atMs: fact.atMs }] : []));
const statesOf = (definition: RunDefinition) => definition.scenario.threads.flatMap((thread) => thread.states);

it('there is a scenario for every disease of the model', () => {
  const named = new Set(SHIPPED.flatMap(({ scenario }) => scenario.patient.illness?.map((one) => one.disease) ?? []));
  for (const disease of [
    'anaphylaxis',
    'asthma',
    'croup',
    'bronchiolitis',
    'foreign-body',
    'pneumonia',
    'copd',
    'opioid-toxicity',
    'pneumothorax',
    'pulmonary-oedema',
  ])
    expect([...named], disease).toContain(disease);
  const ages = SHIPPED.filter(({ scenario }) => scenario.patient.illness?.[0]?.disease === 'anaphylaxis').map(
    ({ scenario }) => scenario.patient.ageYears,
  );
  expect(Math.min(...ages)).toBeLessThan(1);
  expect(Math.max(...ages)).toBeGreaterThan(18);
});

describe.each(cases)('%s', (_id, definition) => {
  const { scenario } = definition;

  it('says who can be called, what the family know and fear, what to watch for and who decides on an arrest', () => {
    expect(scenario.arrest).toBe('ask-faculty');
    expect(scenario.prebrief.notReal.join(' ')).toMatch(/heart does not stop by itself/);
    expect(scenario.calls!.length).toBeGreaterThanOrEqual(4);
    expect(scenario.family.flatMap((one) => one.history ?? []).length).toBeGreaterThanOrEqual(3);
    expect(scenario.family.flatMap((one) => one.worries ?? []).length).toBeGreaterThanOrEqual(2);
    expect(scenario.behaviours!.length).toBeGreaterThanOrEqual(5);
    expect(scenario.behaviours!.length).toBeLessThanOrEqual(8);
    expect(scenario.exhibits!.length).toBeGreaterThanOrEqual(2);
    expect(scenario.debriefQuestions.length).toBeGreaterThanOrEqual(3);
    expect(scenario.prebrief.roles.length).toBeGreaterThanOrEqual(3);
    expect(scenario.equipment.length).toBeGreaterThanOrEqual(3);
  });

  it('shows only pictures that are there, run nothing, and say that they are made up', () => {
    for (const { picture } of scenario.exhibits ?? []) {
      if (picture === undefined) continue;
      const file = new URL(picture, EXHIBITS);
      expect(existsSync(file), picture).toBe(true);
      const text = readFileSync(file, 'utf8');
      expect(text).toMatch(/Drawing for training, not a patient|Made up for training, not a patient/);
      expect(text).not.toMatch(/<script|href=|\bon[a-z]+=/i);
    }
  });

  it('never says a live reading in the text of a state', () => {
    for (const state of statesOf(definition))
      expect(`${state.title} ${state.says ?? ''}`).not.toMatch(
        /saturation (?:(?:is|of|about) )?\d|saturation (?:is )?(?:normal|low|high|good|in the)|sats? \d|\b\d+ ?mmHg|rate (?:is|of) \d|he is drowsy|she is drowsy/i,
      );
  });

  it('has a rehearsal each for good care, nobody acting, late care and an error, with states, vitals and targets', () => {
    const names = scenario.rehearsals.map((one) => one.name);
    expect(names).toContain('textbook');
    expect(names).toContain('nobody acts');
    expect(
      names.some((name) => /late|nick of time/.test(name)),
      names.join(),
    ).toBe(true);
    expect(names.length).toBeGreaterThanOrEqual(4);
    const kinds = new Set(scenario.rehearsals.flatMap((one) => one.expect.map((each) => each.kind)));
    expect([...kinds].sort()).toEqual(['state', 'target', 'vital']);
    for (const name of ['textbook', 'nobody acts']) {
      const expected = scenario.rehearsals.find((one) => one.name === name)!.expect.map((each) => each.kind);
      expect(expected, name).toContain('state');
      expect(expected, name).toContain('vital');
    }
  });

  it(
    'reaches every ending and follows every rule in some rehearsal; what is expected of states and vitals holds',
    { timeout: 600_000 },
    () => {
      const reached = new Set<string>();
      const followed = new Set<string>();
      for (const rehearsal of scenario.rehearsals) {
        const result = play(definition, rehearsal);
        const failed = result.checks.filter((check) => check.ok === false);
        expect(
          failed.map((check) => `${rehearsal.name}: ${check.says}: ${check.found}`),
          rehearsal.name,
        ).toEqual([]);
        expect(result.faults).toEqual([]);
        for (const { state } of entered(result)) reached.add(state);
        for (const { thread, state, index } of result.rules) followed.add(`${thread} ${state} ${index}`);
      }
      const never = scenario.threads.flatMap(({ id, states }) =>
        states.flatMap((state) =>
          state.transitions.flatMap(({ to }, index) =>
            followed.has(`${id} ${state.id} ${index}`) ? [] : [`${state.id} to ${to}`],
          ),
        ),
      );
      expect(never, `rules of ${scenario.id} that no rehearsal follows`).toEqual([]);
      for (const state of statesOf(definition))
        if (state.ending) expect([...reached], `${scenario.id} ends in ${state.id}`).toContain(state.id);
    },
  );

  it('textbook care ends well and nobody acting never does', { timeout: 600_000 }, () => {
    const kindOf = (state: string) => statesOf(definition).find((one) => one.id === state)?.ending?.kind;
    const of = (name: string) =>
      entered(
        play(
          definition,
          scenario.rehearsals.find((one) => one.name === name)!,
        ),
      ).flatMap(({ state }) => kindOf(state) ?? []);
    expect(of('textbook').at(-1)).toBe('good');
    expect(of('nobody acts')).not.toContain('good');
    expect(of('nobody acts')).toContain('poor');
  });

  it(
    'gives no good ending while an overdose of adrenaline drives the heart and the pressure',
    { timeout: 600_000 },
    () => {
      const textbook = scenario.rehearsals.find((one) => one.name === 'textbook')!;
      const good = statesOf(definition).filter((state) => state.ending?.kind === 'good');
      const { systolicHighMmHg } = ageNorms(scenario.patient.ageYears);
      // Ten micrograms for each kg into a vein, the dose of an arrest, every two minutes beside the best of care.
      const overdoses = Array.from({ length: 15 }, (_, i) => ({
        atMs: 60_000 + i * 120_000,
        action: {
          kind: 'give' as const,
          intervention: 'adrenaline-iv-bolus',
          amount: Math.round(10 * scenario.patient.weightKg),
        },
      }));
      const forMs = Math.min(textbook.forMs, 1_860_000);
      const result = rehearse(definition, {
        ...textbook,
        forMs,
        acts: [...textbook.acts.filter((act) => act.atMs <= forMs), ...overdoses],
        expect: [],
      });
      const times = entered(result).filter(({ state }) => good.some((one) => one.id === state));
      for (const { state, atMs } of times) {
        const row = result.track.findLast((each) => each.atMs <= atMs)!;
        expect(row.true.systolicMmHg, `${state} at ${atMs / 1000} s`).toBeLessThanOrEqual(1.15 * systolicHighMmHg + 2);
      }
      // The overdose is seen: somewhere the pressure or the rhythm is not that of the well.
      expect(
        result.track.some((each) => each.true.systolicMmHg > 1.15 * systolicHighMmHg || each.true.arrested > 0),
      ).toBe(true);
    },
  );
});
