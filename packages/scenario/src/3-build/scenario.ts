/** Reads a scenario: text to built shape, or to a list of what is wrong. */
import {
  buildPatient as makePatient,
  PatientError,
  type AbcdeId,
  type BaselineId,
  type Sex,
} from '@breathline/patient';
import type { Bag } from '../1-read/bag.ts';
import { nodeAt, pathText, type Tree } from '../1-read/tree.ts';
import { checkReferences } from '../2-check/references.ts';
import { checkForm, checkScenario } from '../2-check/scenario-meaning.ts';
import { scenarioSchema, type ScenarioDoc } from '../2-check/schema/scenario-schema.ts';
import type { StateDoc } from '../2-check/schema/state-schema.ts';
import { LETTERS } from '../2-check/schema/vocabulary.ts';
import type { Reference } from '../2-check/structure.ts';
import { MAIN_THREAD, resolveThread, threadsOf, type ThreadDoc } from '../2-check/threads.ts';
import { MODEL_DISEASES, MODEL_DRIVES } from '../words/model.ts';
import { closest } from '../words/closest.ts';
import { BASELINES, VITALS } from '../words/vitals.ts';
import type { Library, ReadResult, Scenario, ScriptedVital, State } from '../types.ts';
import { buildAround } from './around.ts';
import { buildCondition, vitalValue } from './condition.ts';
import { ms, need } from './quantities.ts';
import { readChecked } from './read-file.ts';
import { buildRehearsals } from './rehearsal.ts';

/**
 * Reads one scenario. Never throws; every problem has its place.
 *
 * @param text the file's text
 * @param options.file its name, for messages
 * @param options.library interventions and packs it refers to; without one, those ids go unchecked and doses unbuilt
 */
export function readScenario(
  text: string,
  options: { readonly file: string; readonly library: Library | null },
): ReadResult<Scenario> {
  const { bag, root, references, doc } = readChecked(text, options.file, scenarioSchema, 'scenario');
  if (root) {
    checkForm(root, bag);
    checkIds(root, references, bag, options.library);
  }
  if (root && doc) checkScenario(doc, root, bag, options.library);
  const built = bag.result(() => buildScenario(doc!, options.library));
  if (!built.ok || !root) return built;
  // The model's own word on what it can make, so that a file without errors is one that runs.
  checkPatient(built.value, root, bag);
  return bag.result(() => built.value);
}

function checkPatient({ patient }: Scenario, root: Tree, bag: Bag): void {
  try {
    makePatient(patient);
  } catch (problem) {
    if (!(problem instanceof PatientError)) throw problem;
    const { found, expected } = problem;
    bag.add('patient-cannot-be', nodeAt(root, ['patient']), { found, expected }, { path: 'patient' });
  }
}

/** States by thread, read from the tree so that references are checked even when other things are wrong. */
function statesByThread(root: Tree): Map<string, string[]> {
  const threads = new Map<string, string[]>();
  if (root.kind !== 'map') return threads;
  const keys = (node: Tree | undefined): string[] => (node?.kind === 'map' ? [...node.entries.keys()] : []);
  const list = root.entries.get('threads')?.value;
  if (list?.kind === 'map') {
    for (const entry of list.entries.values()) {
      threads.set(entry.key, entry.value.kind === 'map' ? keys(entry.value.entries.get('states')?.value) : []);
    }
  } else threads.set(MAIN_THREAD, keys(root.entries.get('states')?.value));
  return threads;
}

function checkIds(root: Tree, references: readonly Reference[], bag: Bag, library: Library | null): void {
  const threads = statesByThread(root);
  const guidelines = nodeAt(root, ['guidelines']);
  const chosen =
    guidelines.kind === 'list' ? guidelines.items.map((item) => (item.kind === 'scalar' ? item.value : null)) : [];
  const packs = library?.packs.filter((pack) => chosen.includes(pack.id)) ?? [];
  checkReferences(
    references.filter((reference) => reference.kind !== 'state'),
    ({ kind }) => {
      switch (kind) {
        case 'intervention':
        case 'assessment':
          return library ? library.interventions.map((one) => one.id) : null;
        case 'pack':
          return library ? library.packs.map((pack) => pack.id) : null;
        case 'target':
          return packs.length > 0 ? packs.flatMap((pack) => pack.targets.map((target) => target.id)) : null;
        case 'drive':
          return MODEL_DRIVES.keys();
        case 'disease':
          return MODEL_DISEASES.keys();
        case 'thread':
          return threads.keys();
        default:
          return null;
      }
    },
    bag,
  );
  const notAssessments = library?.interventions.filter((one) => one.kind !== 'assessment').map((one) => one.id) ?? [];
  for (const reference of references) {
    if (reference.kind !== 'assessment' || !notAssessments.includes(reference.id)) continue;
    bag.add(
      'not-assessment',
      reference,
      { found: reference.id },
      { path: pathText(reference.path), hint: 'use `give` for treatments' },
    );
  }
  for (const reference of references) if (reference.kind === 'state') checkState(reference, root, threads, bag);
}

/** A state name must exist in the thread it is meant for; with several threads it must be clear which. */
function checkState(reference: Reference, root: Tree, threads: ReadonlyMap<string, readonly string[]>, bag: Bag): void {
  const { path, id } = reference;
  const last = path[path.length - 1];
  // `no-start` speaks of start states.
  if (last === 'start') return;
  const own = path[0] === 'threads' ? String(path[1]) : threads.size === 1 ? [...threads.keys()][0]! : null;
  const beside = nodeAt(root, [...path.slice(0, -1), 'thread']);
  const given = beside.kind === 'scalar' && typeof beside.value === 'string' ? beside.value : null;
  if (last !== 'to' && given !== null && !threads.has(given)) return;
  let candidates: string[];
  if (last === 'to') candidates = [...(threads.get(own ?? '') ?? [])];
  else if (given !== null) candidates = [...(threads.get(given) ?? [])];
  else candidates = [...threads.values()].flat();
  if (!candidates.includes(id)) {
    const near = closest(id, candidates);
    bag.add(
      'unknown-state',
      reference,
      { found: id },
      { path: pathText(path), hint: near ? `did you mean \`${near}\`?` : undefined },
    );
  } else if (last !== 'to' && given === null && threads.size > 1) {
    const having = [...threads].filter(([, states]) => states.includes(id));
    if (having.length > 1 && !having.some(([thread]) => thread === own))
      bag.add('missing-thread', reference, {}, { path: pathText(path), hint: `add \`thread: ${having[0]![0]}\`` });
  }
}

const SEX: Readonly<Record<ScenarioDoc['patient']['sex'], Sex>> = {
  girl: 'female',
  woman: 'female',
  female: 'female',
  boy: 'male',
  man: 'male',
  male: 'male',
};

function buildScenario(doc: ScenarioDoc, library: Library | null): Scenario {
  const threads = threadsOf(doc);
  return {
    id: doc.id,
    title: doc.title,
    learnerTitle: doc['learner-title'],
    summary: doc.summary,
    level: doc.level,
    setting: doc.setting,
    authors: doc.authors ?? [],
    ...(doc.rationale ? { rationale: doc.rationale } : {}),
    ...(doc['time-compression'] ? { timeCompression: doc['time-compression'] } : {}),
    patient: buildPatient(doc.patient),
    guidelines: doc.guidelines,
    objectives: doc.objectives.map((one) => ({ id: one.id, says: one.says, seenBy: one['seen-by'] })),
    prebrief: {
      roles: doc.prebrief.roles ?? [],
      room: doc.prebrief.room ?? [],
      real: doc.prebrief.real ?? [],
      notReal: doc.prebrief['not-real'] ?? [],
      ...(doc.prebrief['time-plan'] ? { timePlan: doc.prebrief['time-plan'] } : {}),
      handover: doc.prebrief.handover,
    },
    equipment: doc.equipment ?? [],
    ...buildAround(doc),
    threads: threads.map((thread) => ({
      id: thread.id,
      title: thread.title,
      start: thread.start,
      states: Object.entries(thread.states).map(([id, state]) => buildState(id, state, thread, threads)),
    })),
    debriefQuestions: doc['debrief-questions'] ?? [],
    rehearsals: buildRehearsals(doc, threads, library),
    handy: doc.handy ?? [],
    startPosture: doc.patient.posture ?? 'sitting',
  };
}

function buildPatient(doc: ScenarioDoc['patient']): Scenario['patient'] {
  const baseline: Partial<Record<BaselineId, number>> = {};
  for (const [name, written] of Object.entries(doc.baseline ?? {}))
    baseline[BASELINES.get(name)!.id] = need(String(written)).value;
  const height = doc.height ? need(doc.height).value : null;
  return {
    name: doc.name,
    ageText: doc.age,
    ageYears: need(doc.age).value,
    weightKg: need(doc.weight).value,
    sex: SEX[doc.sex],
    ...(height !== null ? { heightCm: height } : {}),
    ...(doc.baseline ? { baseline } : {}),
    ...(doc.illness
      ? {
          illness: doc.illness.map(({ 'returns-after': returns, ...illness }) => ({
            ...illness,
            ...(returns ? { returnsAfterMinutes: need(returns).value / 60_000 } : {}),
          })),
        }
      : {}),
    ...(doc.tuning ? { uncertain: doc.tuning } : {}),
    allergies: doc.allergies ?? [],
    story: doc.story,
    skin: doc.skin ?? '',
    ...(doc.begun ? { begunMs: need(doc.begun).value } : {}),
  };
}

/** Written findings of these ids are seen without touching or listening. */
const SEEN = new Set([
  'talking',
  'look',
  'effort',
  'work-of-breathing',
  'skin',
  'lips',
  'face',
  'swelling',
  'posture',
  'behaviour',
  'colour',
]);

function buildState(id: string, doc: StateDoc, thread: ThreadDoc, threads: readonly ThreadDoc[]): State {
  const threadOf = (state: string): string => resolveThread(threads, state, undefined, thread.id) ?? thread.id;
  const scripted = Object.entries(doc.scripted ?? {}).map(([vital, value]): ScriptedVital => ({
    vital: VITALS.get(vital)!.id,
    to: vitalValue(vital, value.to),
    overMs: value.over ? ms(value.over) : 0,
  }));
  return {
    id,
    title: doc.title,
    ...(doc.says ? { says: doc.says } : {}),
    drives: Object.entries(doc.drives ?? {}).map(([drive, value]) =>
      typeof value === 'number'
        ? { kind: 'drive', drive, to: value, overMs: 0 }
        : { kind: 'drive', drive, to: value.to, overMs: value.over ? ms(value.over) : 0 },
    ),
    scripted,
    findings: LETTERS.flatMap((letter) => buildFindings(letter, doc.findings?.[letter])),
    cues: (doc.cues ?? []).map((cue, i) => ({
      id: cue.id ?? `${threads.length > 1 ? `${thread.id}-` : ''}${id}-${i + 1}`,
      afterMs: ms(cue.after),
      by: cue.by,
      says: cue.says,
      kind: cue.kind ?? 'story',
      ...(cue.prompts ? { prompts: cue.prompts } : {}),
      ...(cue['prompts-for'] ? { promptsForMs: ms(cue['prompts-for']) } : {}),
      ...(cue['only-if'] ? { onlyIf: buildCondition(cue['only-if'], threadOf) } : {}),
    })),
    transitions: (doc.transitions ?? []).map((one) => ({
      to: one.to,
      when: buildCondition(one.when, threadOf),
      ...(one.says ? { says: one.says } : {}),
    })),
    ...(doc.ending ? { ending: doc.ending } : {}),
  };
}

function buildFindings(
  letter: AbcdeId,
  doc: NonNullable<StateDoc['findings']>[AbcdeId] | undefined,
): State['findings'] {
  if (doc === undefined) return [];
  if (typeof doc === 'string')
    return [{ id: `${letter}-written`, letter, text: doc, observable: letter === 'exposure' }];
  return Object.entries(doc).map(([id, one]) =>
    typeof one === 'string'
      ? { id, letter, text: one, observable: SEEN.has(id) }
      : { id, letter, text: one.says, observable: one.observable ?? SEEN.has(id) },
  );
}
