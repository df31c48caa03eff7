/** The shipped formulary and packs: they read without a complaint, and catalogue and model know the same effects. */
import { readdirSync } from 'node:fs';
import { DISEASES, DRIVES, EFFECTS, PROCEDURES } from '@breathline/patient';
import { describe, expect, test } from 'vitest';
import { buildLibrary, formatDiagnostic, readScenario } from '../src/index.ts';
import { VITALS } from '../src/words/vitals.ts';
import { SIGNS } from '../src/index.ts';
import { filesIn, must, scenarios, shippedLibrary, text } from './support.ts';

const library = shippedLibrary();
const ids = new Set(library.interventions.map((one) => one.id));

describe('shipped content', () => {
  test('formulary and packs give neither error nor warning', () => {
    const read = buildLibrary({ formularies: filesIn('formulary'), packs: filesIn('guidelines') });
    expect([...(read.ok ? [] : read.errors), ...read.warnings].map(formatDiagnostic)).toEqual([]);
  });

  test.each(readdirSync(scenarios).filter((file) => file.endsWith('.yaml')))('%s reads', (file) => {
    must(readScenario(text(`${scenarios}/${file}`), { file, library }));
  });

  test('the same texts in another order give the same library', () => {
    const again = must(
      buildLibrary({ formularies: filesIn('formulary').reverse(), packs: filesIn('guidelines').reverse() }),
    );
    expect(again.hash).toBe(library.hash);
    expect(again).toEqual(library);
  });

  test('every effect of the catalogue is in the model, and every effect of the model is in the catalogue', () => {
    const used = new Set(library.interventions.flatMap((one) => (one.effect ? [one.effect] : [])));
    expect([...used].sort()).toEqual(Object.keys(EFFECTS).sort());
  });

  test('every procedure of the model is in the catalogue and every route is one its effect has', () => {
    const used = new Set(library.interventions.flatMap((one) => (one.procedure ? [one.procedure.id] : [])));
    expect([...used].sort()).toEqual(Object.keys(PROCEDURES).sort());
    for (const one of library.interventions) {
      if (!one.effect) continue;
      const routes = EFFECTS[one.effect as keyof typeof EFFECTS].routes as readonly string[];
      for (const route of new Set([one.route!, ...(one.routes ?? [])]))
        expect(routes, `${one.id} by ${route}`).toContain(route);
    }
  });

  test('what packs refer to exists, and every line names a source', () => {
    for (const pack of library.packs) {
      for (const target of pack.targets) {
        for (const id of target.interventions) expect(ids.has(id)).toBe(true);
        expect(target.source.organisation.length).toBeGreaterThan(0);
        if (target.doseRule) expect(pack.doses.some((rule) => rule.id === target.doseRule)).toBe(true);
      }
      for (const rule of pack.doses) expect(rule.source.checkedOn).toMatch(/^\d{4}-\d{2}-\d{2}$/);
    }
  });

  test('no line claims a clinician who is not named', () => {
    const text_ = JSON.stringify(library);
    expect(text_).not.toContain('checkedBy');
  });

  test('one-tap ranks are all different', () => {
    const ranks = library.interventions.flatMap((one) => (one.oneTap ? [one.oneTap] : []));
    expect(new Set(ranks).size).toBe(ranks.length);
  });

  test('words of the language and of the model agree', () => {
    expect(Object.keys(DRIVES).length).toBeGreaterThan(0);
    expect(Object.keys(DISEASES)).toContain('anaphylaxis');
    expect(new Set([...VITALS.values()].map((word) => word.id)).size).toBe(VITALS.size);
    expect(new Set(SIGNS).size).toBe(SIGNS.length);
  });
});
