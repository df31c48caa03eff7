/** Reads a formulary file. */
import { Bag } from '../1-read/bag.ts';
import { keyRangeAt, nodeAt, pathText, type Path, type Tree } from '../1-read/tree.ts';
import { checkReferences } from '../2-check/references.ts';
import { formularySchema, type FormularyDoc, type InterventionDoc } from '../2-check/schema/library-schema.ts';
import { MODEL_EFFECTS, MODEL_PROCEDURES } from '../words/model.ts';
import { convertAmount } from '../words/quantity.ts';
import { VITALS } from '../words/vitals.ts';
import type { Concentration, Intervention, ReadResult, Source } from '../types.ts';
import { buildDoseParts, checkDoseParts, doseAmount, unitText } from './dose-rule.ts';
import { amountIn, fraction, ms, need } from './quantities.ts';
import { readChecked } from './read-file.ts';
import { sourceFinder } from './sources.ts';

export interface Formulary {
  readonly id: string;
  readonly interventions: readonly Intervention[];
}

/**
 * Reads one formulary file. Never throws; every problem has its place.
 *
 * @param text the file's text
 * @param options.file its name, for messages
 */
export function readFormulary(text: string, options: { readonly file: string }): ReadResult<Formulary> {
  const { bag, root, references, doc } = readChecked(text, options.file, formularySchema, 'formulary');
  if (root) {
    const sources = namesOf(root, 'sources');
    checkReferences(
      references,
      ({ kind }) =>
        kind === 'source'
          ? sources
          : kind === 'effect'
            ? MODEL_EFFECTS.keys()
            : kind === 'procedure'
              ? MODEL_PROCEDURES
              : null,
      bag,
    );
  }
  if (root && doc) checkFormulary(doc, root, bag);
  return bag.result(() => ({ id: doc!.id, interventions: buildInterventions(doc!) }));
}

/** Keys of a top-level map, even when the rest of the file is wrong. */
export function namesOf(root: Tree, key: string): string[] {
  const node = nodeAt(root, [key]);
  return node.kind === 'map' && node !== root ? [...node.entries.keys()] : [];
}

const NEEDS: Readonly<Record<string, readonly (keyof InterventionDoc)[]>> = {
  oxygen: ['oxygen'],
  posture: ['posture'],
  device: ['device'],
  assessment: ['reveals'],
  drug: ['drug', 'route'],
  fluid: ['route'],
};

function concentrationsOf(doc: InterventionDoc): Concentration[] | undefined {
  return doc.concentrations?.flatMap((label) => {
    const perMl = amountIn(need(label), { unit: doc.unit });
    return perMl === null ? [] : [{ label: label.replace(/[\u00a0\u2009\u202f]/g, ' '), amount: perMl, perMl: 1 }];
  });
}

function dosed(doc: InterventionDoc) {
  return { unit: doc.unit, ratePer: doc['rate-per'], concentrations: concentrationsOf(doc) };
}

function checkFormulary(doc: FormularyDoc, root: Tree, bag: Bag): void {
  for (const [id, item] of Object.entries(doc.interventions)) {
    const path: Path = ['interventions', id];
    const key = keyRangeAt(root, path);
    const at = { path: pathText(path) };
    for (const part of NEEDS[item.kind] ?? []) {
      if (item[part] === undefined) bag.add('missing-part', key, { where: item.kind, expected: part }, at);
    }
    if ((item.kind === 'drug' || item.kind === 'fluid') && !item.unit)
      bag.add('drug-without-unit', key, { found: id }, { ...at, hint: 'add `unit:`' });
    item.concentrations?.forEach((label, i) => {
      if (amountIn(need(label), { unit: item.unit }) === null) {
        bag.add(
          'dose-unit',
          nodeAt(root, [...path, 'concentrations', i]),
          { found: label, where: id, expected: `${item.unit ?? 'no unit'} per mL` },
          at,
        );
      }
    });
    const effect = item.effect === undefined ? undefined : MODEL_EFFECTS.get(item.effect);
    if (effect && item.unit && convertAmount(1, item.unit, effect.unit) === null) {
      bag.add(
        'effect-unit',
        nodeAt(root, [...path, 'effect']),
        { found: id, where: item.unit, other: item.effect!, expected: effect.unit },
        at,
      );
    }
    if (item.dose) checkDoseParts(item.dose, id, dosed(item), [...path, 'dose'], root, bag);
    item['device-doses']?.forEach((written, i) => {
      if (doseAmount(written, dosed(item)) === null) {
        bag.add(
          'dose-unit',
          nodeAt(root, [...path, 'device-doses', i]),
          { found: written, where: id, expected: unitText(dosed(item)) },
          at,
        );
      }
    });
    const warn = item['warn-above'];
    for (const part of ['per-kg', 'total'] as const) {
      const written = warn?.[part];
      if (written !== undefined && doseAmount(written, dosed(item)) === null) {
        bag.add(
          'dose-unit',
          nodeAt(root, [...path, 'warn-above', part]),
          { found: written, where: id, expected: unitText(dosed(item)) },
          at,
        );
      }
    }
  }
}

function buildInterventions(doc: FormularyDoc): Intervention[] {
  const source = sourceFinder(doc.sources);
  return Object.entries(doc.interventions).map(([id, item]) => buildIntervention(id, item, source));
}

function buildIntervention(id: string, doc: InterventionDoc, source: (id: string) => Source): Intervention {
  const concentrations = concentrationsOf(doc);
  const warn = doc['warn-above'];
  const { reveals } = doc;
  const amount = (text: string): number => doseAmount(text, dosed(doc))!;
  return {
    id,
    name: doc.name,
    ...(doc['name-us'] ? { nameUs: doc['name-us'] } : {}),
    ...(doc.short ? { short: doc.short } : {}),
    group: doc.group,
    kind: doc.kind,
    ...(doc.drug ? { drug: doc.drug } : {}),
    ...(doc.effect ? { effect: doc.effect } : {}),
    ...(doc.route ? { route: doc.route } : {}),
    ...(doc.routes ? { routes: doc.routes } : {}),
    ...(doc.sites ? { sites: doc.sites } : {}),
    ...(doc.unit ? { unit: doc.unit } : {}),
    ...(doc['rate-per'] ? { ratePer: doc['rate-per'] } : {}),
    ...(concentrations ? { concentrations } : {}),
    ...(doc['device-doses'] ? { deviceDoses: doc['device-doses'].map(amount).sort((a, b) => a - b) } : {}),
    ...(doc.over ? { overMs: ms(doc.over) } : {}),
    ...(doc.dose ? { usual: buildDoseParts(doc.dose, dosed(doc), source) } : {}),
    ...(doc.hazard ? { hazard: doc.hazard } : {}),
    ...(doc.oxygen
      ? {
          oxygen: {
            device: doc.oxygen.device,
            ...(doc.oxygen.flow ? { flowLPerMin: need(doc.oxygen.flow).value } : {}),
            ...(doc.oxygen.fraction ? { fio2Fraction: fraction(doc.oxygen.fraction) } : {}),
          },
        }
      : {}),
    ...(doc.posture ? { posture: doc.posture } : {}),
    ...(doc.procedure ? { procedure: doc.procedure } : {}),
    ...(doc.device ? { device: doc.device } : {}),
    ...(reveals
      ? {
          reveals: {
            ...(reveals.letters ? { letters: reveals.letters } : {}),
            ...(reveals.findings ? { findings: reveals.findings } : {}),
            ...(reveals.vitals ? { vitals: reveals.vitals.map((name) => VITALS.get(name)!.id) } : {}),
          },
        }
      : {}),
    ...(doc.steps ? { steps: doc.steps } : {}),
    ...(warn
      ? {
          warnAbove: {
            ...(warn['per-kg'] ? { perKg: amount(warn['per-kg']) } : {}),
            ...(warn.total ? { total: amount(warn.total) } : {}),
          },
        }
      : {}),
    ...(doc.spoken ? { spoken: true } : {}),
    search: doc.search ?? [],
    ...(doc['one-tap'] ? { oneTap: doc['one-tap'] } : {}),
    ...(doc.source ? { source: source(doc.source) } : {}),
  };
}
