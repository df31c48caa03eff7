/** Reads a guideline pack. */
import { Bag } from '../1-read/bag.ts';
import { nodeAt, pathText, type Path, type Tree } from '../1-read/tree.ts';
import { checkCondition, eachCondition } from '../2-check/conditions.ts';
import { checkReferences } from '../2-check/references.ts';
import { packSchema, type PackDoc, type TargetDoc } from '../2-check/schema/library-schema.ts';
import type { ConditionDoc } from '../2-check/schema/condition.ts';
import type { GuidelinePack, Intervention, ReadResult, Source, Target } from '../types.ts';
import { buildCondition } from './condition.ts';
import { buildDoseParts, checkDoseParts } from './dose-rule.ts';
import { namesOf } from './formulary.ts';
import { fraction, ms, need } from './quantities.ts';
import { readChecked } from './read-file.ts';
import { sourceFinder } from './sources.ts';

/**
 * Reads one guideline pack. Never throws; every problem has its place.
 *
 * @param options.interventions the catalogue its doses and targets refer to
 */
export function readPack(
  text: string,
  options: { readonly file: string; readonly interventions: readonly Intervention[] },
): ReadResult<GuidelinePack> {
  const { bag, root, references, doc } = readChecked(text, options.file, packSchema, 'pack');
  const interventions = new Map(options.interventions.map((one) => [one.id, one]));
  if (root) {
    const sources = namesOf(root, 'sources');
    const rules = namesOf(root, 'doses');
    const targets = namesOf(root, 'targets');
    const assessments = options.interventions.filter((one) => one.kind === 'assessment').map((one) => one.id);
    checkReferences(
      references,
      ({ kind }) => {
        if (kind === 'source') return sources;
        if (kind === 'dose-rule') return rules;
        if (kind === 'target') return targets;
        if (kind === 'intervention') return interventions.keys();
        if (kind === 'assessment') return assessments;
        // A pack fits many scenarios: it knows no states.
        return kind === 'state' || kind === 'thread' ? [] : null;
      },
      bag,
    );
  }
  if (root && doc) checkPack(doc, interventions, root, bag);
  return bag.result(() => buildPack(doc!, interventions));
}

function checkPack(doc: PackDoc, interventions: ReadonlyMap<string, Intervention>, root: Tree, bag: Bag): void {
  const seen = new Set<string>();
  const condition = (part: ConditionDoc, path: Path): void => {
    checkCondition(part, path, root, bag);
    eachCondition(part, path, (inner, at) => {
      if ('faculty' in inner || 'in-state-for' in inner) {
        bag.add(
          'which-form',
          nodeAt(root, at),
          { where: 'a condition of a pack', expected: 'one that does not depend on a scenario’s states or buttons' },
          { path: pathText(at) },
        );
      }
    });
  };
  doc.recognition.forEach((one, i) => {
    if (seen.has(one.id))
      bag.add('duplicate-id', nodeAt(root, ['recognition', i, 'id']), {
        found: one.id,
        where: 'the recognition criteria',
      });
    seen.add(one.id);
    condition(one.when, ['recognition', i, 'when']);
  });
  if (doc['shock-visible']) condition(doc['shock-visible'], ['shock-visible']);
  for (const [id, rule] of Object.entries(doc.observation ?? {})) {
    if (rule.when) condition(rule.when, ['observation', id, 'when']);
  }
  const aim = doc['oxygen-range'];
  if (aim && need(aim.to).value <= need(aim.from).value) {
    bag.add(
      'oxygen-range-reversed',
      nodeAt(root, ['oxygen-range', 'to']),
      { found: aim.to, expected: aim.from },
      { path: pathText(['oxygen-range', 'to']) },
    );
  }
  const key = doc['key-step'];
  const turnsOn = key && doc.targets[key.target];
  if (key && turnsOn && (turnsOn.due === undefined || turnsOn.contraindicated === true)) {
    const at: Path = ['key-step', 'target'];
    bag.add('key-step-untimed', nodeAt(root, at), { found: key.target }, { path: pathText(at) });
  }
  for (const [id, rule] of Object.entries(doc.doses)) {
    checkDoseParts(rule, rule.intervention, interventions.get(rule.intervention) ?? null, ['doses', id], root, bag);
  }
  for (const [id, target] of Object.entries(doc.targets)) {
    checkTarget(id, target, root, bag);
    if (target['only-if']) condition(target['only-if'], ['targets', id, 'only-if']);
  }
  const latest = Object.values(doc.sources).reduce(
    (last, one) => (one['checked-on'] > last ? one['checked-on'] : last),
    '',
  );
  if (doc['review-by'] < latest)
    bag.add('review-passed', nodeAt(root, ['review-by']), { found: doc['review-by'] }, { path: 'review-by' });
}

function checkTarget(id: string, target: TargetDoc, root: Tree, bag: Bag): void {
  const path: Path = ['targets', id];
  const at = { path: pathText(path) };
  const asks = [target.due, target.space, target['must-follow']].some((one) => one !== undefined);
  if (!asks && target.contraindicated !== true) {
    bag.add('target-empty', nodeAt(root, path), { found: id }, at);
  }
  if (
    (target.clock === 'previous-dose' || target.clock === 'first-dose') &&
    target['clock-intervention'] === undefined
  ) {
    bag.add(
      'no-clock-intervention',
      nodeAt(root, [...path, 'clock']),
      { found: target.clock },
      { ...at, hint: 'add `clock-intervention:`' },
    );
  }
  if (target.due && target.limit && ms(target.limit) < ms(target.due)) {
    bag.add('limit-before-due', nodeAt(root, [...path, 'limit']), { found: target.limit, expected: target.due }, at);
  }
}

function buildTarget(id: string, doc: TargetDoc, source: (id: string) => Source): Target {
  return {
    id,
    says: doc.says,
    interventions: doc.interventions,
    clock: doc.clock,
    ...(doc['clock-intervention'] ? { clockIntervention: doc['clock-intervention'] } : {}),
    ...(doc.nth ? { nth: doc.nth } : {}),
    ...(doc.due ? { dueMs: ms(doc.due) } : {}),
    ...(doc.limit ? { limitMs: ms(doc.limit) } : {}),
    ...(doc['not-before'] ? { notBeforeMs: ms(doc['not-before']) } : {}),
    ...(doc['only-if'] ? { onlyIf: buildCondition(doc['only-if'], () => 'main') } : {}),
    ...(doc['dose-rule'] ? { doseRule: doc['dose-rule'] } : {}),
    ...(doc.side ? { side: doc.side } : {}),
    ...(doc.space ? { space: doc.space } : {}),
    ...(doc['must-follow'] ? { mustFollow: doc['must-follow'] } : {}),
    ...(doc.contraindicated === true ? { contraindicated: true } : {}),
    critical: doc.critical,
    weight: doc.weight,
    timeStatus: doc['time-status'],
    source: source(doc.source),
  };
}

function buildPack(doc: PackDoc, interventions: ReadonlyMap<string, Intervention>): GuidelinePack {
  const source = sourceFinder(doc.sources);
  const tolerance = doc['dose-tolerance'];
  return {
    id: doc.id,
    title: doc.title,
    organisation: doc.organisation,
    edition: doc.edition,
    condition: doc.condition,
    reviewBy: doc['review-by'],
    doseTolerance: {
      full: need(tolerance.full).value / 100,
      partial: fraction(tolerance.partial),
      criticalHigh: tolerance['critical-high'],
      criticalLow: tolerance['critical-low'],
    },
    recognition: doc.recognition.map((one) => ({
      id: one.id,
      says: one.says,
      when: buildCondition(one.when, () => 'main'),
      source: source(one.source),
    })),
    ...(doc['shock-visible'] ? { shockVisible: buildCondition(doc['shock-visible'], () => 'main') } : {}),
    ...(doc.observation
      ? {
          observation: Object.entries(doc.observation).map(([id, rule]) => ({
            id,
            says: rule.says,
            hours: rule.hours,
            from: rule.from,
            ...(rule.when ? { when: buildCondition(rule.when, () => 'main') } : {}),
            ...(rule.needs ? { needs: rule.needs } : {}),
            ...(rule['or-if'] ? { orIf: rule['or-if'] } : {}),
            source: source(rule.source),
          })),
        }
      : {}),
    ...(doc['oxygen-range']
      ? {
          oxygenRange: {
            lowPercent: need(doc['oxygen-range'].from).value,
            highPercent: need(doc['oxygen-range'].to).value,
            ...(doc['oxygen-range']['above-is-danger'] === true ? { aboveIsDanger: true } : {}),
            source: source(doc['oxygen-range'].source),
          },
        }
      : {}),
    ...(doc['key-step'] ? { keyStep: { target: doc['key-step'].target, says: doc['key-step'].says } } : {}),
    doses: Object.entries(doc.doses).map(([id, rule]) => ({
      id,
      intervention: rule.intervention,
      ...buildDoseParts(rule, interventions.get(rule.intervention)!, source),
    })),
    targets: Object.entries(doc.targets).map(([id, target]) => buildTarget(id, target, source)),
    source: source(doc.source),
    ...(doc['forked-from'] ? { forkedFrom: doc['forked-from'] } : {}),
    ...(doc['forked-hash'] ? { forkedHash: doc['forked-hash'] } : {}),
  };
}
