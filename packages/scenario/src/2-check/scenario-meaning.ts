/** Sense checks of a scenario whose structure is right. */
import type { Bag } from '../1-read/bag.ts';
import { nodeAt, pathText, type Path, type Tree } from '../1-read/tree.ts';
import { need } from '../3-build/quantities.ts';
import { MODEL_CONSTANTS, MODEL_DISEASES, MODEL_DRIVES } from '../words/model.ts';
import { formatNumber } from '../words/quantity.ts';
import { closest, nameSome } from '../words/closest.ts';
import type { GuidelinePack, Library } from '../types.ts';
import { checkAround } from './around-meaning.ts';
import { checkCondition, checkVitalValue } from './conditions.ts';
import { checkGraph } from './graph.ts';
import { checkSkinWords, eachText } from './prose.ts';
import { checkRehearsals } from './rehearsal-meaning.ts';
import { eachScenarioCondition } from './scenario-conditions.ts';
import type { ScenarioDoc } from './schema/scenario-schema.ts';
import type { StateDoc } from './schema/state-schema.ts';
import { threadsOf, type ThreadDoc } from './threads.ts';
import { isUnlikelyWeight, usualWeightKg } from './weight.ts';

export function checkScenario(doc: ScenarioDoc, root: Tree, bag: Bag, library: Library | null): void {
  const threads = threadsOf(doc);
  if (threads.length === 0) return;
  const packs = library?.packs.filter((pack) => doc.guidelines.includes(pack.id)) ?? [];
  checkPatient(doc, root, bag);
  checkGraph(threads, root, bag);
  for (const thread of threads) checkStates(thread, root, bag);
  checkCueIds(threads, root, bag);
  eachScenarioCondition(doc, (part, path) => checkCondition(part, path, root, bag));
  checkObjectives(doc, root, bag);
  checkAuthors(doc, root, bag);
  checkAround(doc, root, bag);
  checkRehearsals(doc, root, bag, library);
  checkTitle(doc, packs, root, bag);
  if (!doc.rehearsals || doc.rehearsals.length === 0)
    bag.add(
      'no-rehearsal',
      nodeAt(root, ['id']),
      {},
      { hint: 'add `rehearsals:` with at least textbook care and nobody acting' },
    );
}

/** Either `states` with `start`, or `threads`. Run on the tree, so that it also speaks when other things are wrong. */
export function checkForm(root: Tree, bag: Bag): void {
  if (root.kind !== 'map') return;
  const has = (key: string): boolean => root.entries.has(key);
  const add = (found: string, key?: string): void =>
    bag.add('states-or-threads', key ? root.entries.get(key)!.keyRange : { start: root.start, end: root.start + 1 }, {
      found,
    });
  if (has('threads') && (has('states') || has('start'))) add('this one has both', 'threads');
  else if (!has('threads') && !has('states')) add('this one has neither');
  else if (has('states') && !has('start')) add('`start` is missing', 'states');
}

function checkPatient(doc: ScenarioDoc, root: Tree, bag: Bag): void {
  const { patient } = doc;
  const age = need(patient.age).value;
  const weight = need(patient.weight).value;
  if (isUnlikelyWeight(age, weight)) {
    bag.add(
      'unlikely-weight',
      nodeAt(root, ['patient', 'weight']),
      { found: patient.weight, where: patient.age, expected: `${formatNumber(Math.round(usualWeightKg(age)))} kg` },
      { path: 'patient.weight' },
    );
  }
  patient.illness?.forEach((illness, i) => {
    const patterns = MODEL_DISEASES.get(illness.disease);
    if (illness.pattern !== undefined && patterns && !patterns.includes(illness.pattern)) {
      const near = closest(illness.pattern, patterns);
      bag.add(
        'unknown-pattern',
        nodeAt(root, ['patient', 'illness', i, 'pattern']),
        { found: illness.pattern, where: illness.disease },
        {
          path: `patient.illness[${i}].pattern`,
          hint: near ? `did you mean \`${near}\`?` : `there is ${nameSome(patterns)}`,
        },
      );
    }
  });
  for (const [id, factor] of Object.entries(patient.tuning ?? {})) {
    const known = MODEL_CONSTANTS.get(id);
    const path = ['patient', 'tuning', id];
    if (!known) {
      const near = closest(id, MODEL_CONSTANTS.keys());
      bag.add(
        'unknown-tuning',
        nodeAt(root, path),
        { found: id },
        {
          path: pathText(path),
          hint: near ? `did you mean \`${near}\`?` : `there is ${nameSome([...MODEL_CONSTANTS.keys()], 20)}`,
        },
      );
    } else if (factor < known.low || factor > known.high) {
      bag.add(
        'impossible-value',
        nodeAt(root, path),
        { where: `\`${id}\``, found: factor, low: known.low, high: known.high },
        { path: pathText(path) },
      );
    }
  }
  if (patient.skin) checkSkinWords(nodeAt(root, ['patient', 'skin']), patient.skin, ['patient', 'skin'], bag);
}

function checkStates(thread: ThreadDoc, root: Tree, bag: Bag): void {
  for (const [id, state] of Object.entries(thread.states)) {
    const base = [...thread.statesPath, id];
    checkDrives(state, base, root, bag);
    for (const [vital, value] of Object.entries(state.scripted ?? {}) as [
      string,
      { to: string | number; over?: string },
    ][]) {
      const path = [...base, 'scripted', vital];
      checkVitalValue(vital, value.to, [...path, 'to'], root, bag, false);
      if (value.over === undefined || need(value.over).value === 0)
        bag.add(
          'jump',
          nodeAt(root, path),
          { found: vital },
          { path: pathText(path), hint: 'add `over:`, e.g. `over: 60 s`' },
        );
    }
    if (state.findings)
      eachText(nodeAt(root, [...base, 'findings']), [...base, 'findings'], (node, text, path) =>
        checkSkinWords(node, text, path, bag),
      );
  }
}

function checkDrives(state: StateDoc, base: Path, root: Tree, bag: Bag): void {
  for (const [drive, value] of Object.entries(state.drives ?? {})) {
    const word = MODEL_DRIVES.get(drive);
    if (!word) continue;
    const to = typeof value === 'number' ? value : value.to;
    const path = [...base, 'drives', drive];
    if (to < word.min || to > word.max) {
      bag.add(
        'impossible-value',
        nodeAt(root, path),
        { where: `\`${drive}\` (${word.unit})`, found: to, low: word.min, high: word.max },
        { path: pathText(path) },
      );
    }
  }
}

function checkCueIds(threads: readonly ThreadDoc[], root: Tree, bag: Bag): void {
  const seen = new Set<string>();
  for (const thread of threads) {
    for (const [id, state] of Object.entries(thread.states)) {
      state.cues?.forEach((cue, i) => {
        if (cue.id === undefined) return;
        const path = [...thread.statesPath, id, 'cues', i, 'id'];
        if (seen.has(cue.id))
          bag.add('duplicate-id', nodeAt(root, path), { found: cue.id, where: 'the cues' }, { path: pathText(path) });
        seen.add(cue.id);
      });
    }
  }
}

function checkObjectives(doc: ScenarioDoc, root: Tree, bag: Bag): void {
  const seen = new Set<string>();
  doc.objectives.forEach((objective, i) => {
    const path: Path = ['objectives', i];
    if (seen.has(objective.id))
      bag.add(
        'duplicate-id',
        nodeAt(root, [...path, 'id']),
        { found: objective.id, where: 'the objectives' },
        { path: pathText(path) },
      );
    seen.add(objective.id);
    const by = objective['seen-by'];
    if (Object.keys(by).length !== 1)
      bag.add('seen-by-one', nodeAt(root, [...path, 'seen-by']), {}, { path: pathText([...path, 'seen-by']) });
    else if (by.question === undefined && doc.rehearsals?.length && !provenByRehearsal(doc, by)) {
      bag.add(
        'unused-objective',
        nodeAt(root, [...path, 'id']),
        { found: objective.id },
        {
          path: pathText(path),
          hint: `let a rehearsal expect ${by.target ? `\`{ target: ${by.target}, is: met }\`` : `\`{ state: ${by.state} }\``}`,
        },
      );
    }
  });
}

function provenByRehearsal(doc: ScenarioDoc, by: { target?: string; state?: string }): boolean {
  return (doc.rehearsals ?? []).some((rehearsal) =>
    rehearsal.expect.some(
      (one) => ('target' in one && one.target === by.target) || ('state' in one && one.state === by.state),
    ),
  );
}

function checkAuthors(doc: ScenarioDoc, root: Tree, bag: Bag): void {
  for (const role of ['clinical', 'simulation'] as const) {
    if (doc.authors?.some((author) => author.role === role)) continue;
    const node = doc.authors ? nodeAt(root, ['authors']) : nodeAt(root, ['id']);
    bag.add(
      'missing-author-role',
      { start: node.start, end: node.start + 1 },
      { found: role },
      { path: 'authors', hint: `add \`- { name: …, role: ${role} }\` under \`authors\`` },
    );
  }
}

/** The learner title must not name the condition or the allergen. */
function checkTitle(doc: ScenarioDoc, packs: readonly GuidelinePack[], root: Tree, bag: Bag): void {
  const title = doc['learner-title'].toLowerCase();
  const telling = [
    'anaphyla',
    'allerg',
    'reaction',
    'asthma',
    ...packs.map((pack) => pack.condition.toLowerCase()),
    ...(doc.patient.allergies ?? []).map((one) => one.toLowerCase()),
  ];
  const found = telling.find((word) => word.length > 2 && title.includes(word));
  if (found) bag.add('telling-title', nodeAt(root, ['learner-title']), { found }, { path: 'learner-title' });
}
