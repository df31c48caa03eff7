/**
 * Reads what educators write: scenarios, the formulary and guideline packs. A broken file is listed with what is wrong
 * with it and never stops the server. Read afresh when a file changes.
 */
import { readdir, readFile, realpath, stat } from 'node:fs/promises';
import path from 'node:path';
import type { Diagnostic, Intervention, Library, NamedText, Scenario } from '@breathline/scenario';
import { buildLibrary, readFormulary, readPack, readScenario } from '@breathline/scenario';
import type { ScenarioCard } from '@breathline/protocol';
import { Refusal } from '../refusal.ts';
import { requireFaculty, type Caller } from './access.ts';

interface LoadedScenario {
  readonly file: string;
  readonly text: string;
  readonly scenario: Scenario;
  readonly warnings: readonly Diagnostic[];
}

interface Loaded {
  readonly stamp: string;
  readonly library: Library;
  readonly scenarios: ReadonlyMap<string, LoadedScenario>;
  /** The text of each pack, by its id. */
  readonly packs: ReadonlyMap<string, NamedText>;
  readonly broken: readonly { readonly file: string; readonly errors: readonly Diagnostic[] }[];
}

/** A larger file is not a scenario. */
const MAX_FILE_BYTES = 1_000_000;
const YAML = /\.ya?ml$/i;

export class LibraryService {
  readonly #folder: string;
  #loaded: Loaded | null = null;
  #loading: Promise<Loaded> | null = null;

  constructor(folder: string) {
    this.#folder = folder;
  }

  async list(caller: Caller): Promise<{ scenarios: ScenarioCard[]; broken: Loaded['broken'] }> {
    requireFaculty(caller);
    const { scenarios, library, broken } = await this.#load();
    return { scenarios: [...scenarios.values()].map((loaded) => card(loaded, library)), broken };
  }

  async one(
    caller: Caller,
    id: string,
  ): Promise<{ scenario: Scenario; warnings: readonly Diagnostic[]; text: string }> {
    requireFaculty(caller);
    const { scenario, warnings, text } = await this.scenario(id);
    return { scenario, warnings, text };
  }

  async library(caller: Caller): Promise<Library> {
    requireFaculty(caller);
    return (await this.#load()).library;
  }

  /** For other services: the packs that read without errors, with their texts, and every file that did not. */
  async packs(): Promise<{ library: Library; files: Loaded['packs']; broken: Loaded['broken'] }> {
    const { library, packs, broken } = await this.#load();
    return { library, files: packs, broken };
  }

  /** For other services: a scenario that read without errors, with the library it was checked against. */
  async scenario(id: string): Promise<LoadedScenario & { readonly library: Library }> {
    const { scenarios, library } = await this.#load();
    const found = scenarios.get(id);
    if (!found) throw new Refusal('no-such-scenario', `There is no scenario "${id}" without errors in the library.`);
    return { ...found, library };
  }

  /** One read at a time; a change while reading is seen by the next. */
  #load(): Promise<Loaded> {
    this.#loading ??= this.#read().finally(() => {
      this.#loading = null;
    });
    return this.#loading;
  }

  async #read(): Promise<Loaded> {
    const files = await this.#files();
    const stamp = files.map(({ file, stamp }) => `${file}:${stamp}`).join('\n');
    if (this.#loaded?.stamp === stamp) return this.#loaded;

    const broken: { file: string; errors: readonly Diagnostic[] }[] = [];
    const texts = new Map<string, string>();
    for (const { file, size } of files) {
      if (size > MAX_FILE_BYTES) {
        broken.push({
          file,
          errors: [whole(file, 'too-large', `The file has ${size} bytes; ${MAX_FILE_BYTES} is the most.`)],
        });
        continue;
      }
      try {
        texts.set(file, await readFile(path.join(this.#folder, file), 'utf8'));
      } catch {
        broken.push({ file, errors: [whole(file, 'unreadable', 'The file can not be read.')] });
      }
    }

    // Each file is tried by itself first, so that a broken one is left out and the rest still stand together.
    const within = (folder: string): NamedText[] =>
      [...texts].filter(([file]) => file.startsWith(`${folder}/`)).map(([file, text]) => ({ file, text }));
    const interventions: Intervention[] = [];
    const formularies = within('formulary').filter(({ file, text }) => {
      const result = readFormulary(text, { file });
      if (result.ok) interventions.push(...result.value.interventions);
      else broken.push({ file, errors: result.errors });
      return result.ok;
    });
    const packFiles = new Map<string, NamedText>();
    const packs = within('guidelines').filter(({ file, text }) => {
      const result = readPack(text, { file, interventions });
      if (!result.ok) broken.push({ file, errors: result.errors });
      else if (!packFiles.has(result.value.id)) packFiles.set(result.value.id, { file, text });
      return result.ok;
    });
    const library = build(formularies, packs, broken);
    for (const id of packFiles.keys()) if (!library.packs.some((pack) => pack.id === id)) packFiles.delete(id);
    const scenarios = new Map<string, LoadedScenario>();
    for (const [file, text] of texts) {
      if (file.includes('/')) continue;
      const result = readScenario(text, { file, library });
      if (!result.ok) broken.push({ file, errors: result.errors });
      else if (scenarios.has(result.value.id)) {
        const other = scenarios.get(result.value.id)?.file ?? '';
        broken.push({
          file,
          errors: [whole(file, 'same-id', `"${result.value.id}" is the id of ${other} too; give one of them another.`)],
        });
      } else scenarios.set(result.value.id, { file, text, scenario: result.value, warnings: result.warnings });
    }
    this.#loaded = { stamp, library, scenarios, packs: packFiles, broken };
    return this.#loaded;
  }

  /** YAML files at the top and in the two sub-folders; nothing reached through a link that leads out of the folder. */
  async #files(): Promise<{ file: string; stamp: string; size: number }[]> {
    const found: { file: string; stamp: string; size: number }[] = [];
    const root = await realpath(this.#folder).catch(() => null);
    if (root === null) return found;
    for (const folder of ['', 'formulary', 'guidelines']) {
      const names = await readdir(path.join(root, folder)).catch(() => [] as string[]);
      for (const name of names.filter((entry) => YAML.test(entry)).sort()) {
        const full = path.join(root, folder, name);
        const real = await realpath(full).catch(() => null);
        if (real === null || !real.startsWith(root + path.sep)) continue;
        const info = await stat(real);
        if (!info.isFile()) continue;
        found.push({
          file: folder === '' ? name : `${folder}/${name}`,
          stamp: `${info.mtimeMs}:${info.size}`,
          size: info.size,
        });
      }
    }
    return found;
  }
}

/** The library of files that read well one by one. Where two clash, the later by name is left out and listed. */
const build = (
  formularies: readonly NamedText[],
  packs: readonly NamedText[],
  broken: { file: string; errors: readonly Diagnostic[] }[],
): Library => {
  const result = buildLibrary({ formularies, packs });
  if (result.ok) return result.value;
  const files = new Set(result.errors.map(({ file }) => file));
  const keep = ({ file }: NamedText) => !files.has(file);
  const fewer = [formularies.filter(keep), packs.filter(keep)] as const;
  if (fewer[0].length + fewer[1].length === formularies.length + packs.length)
    return { interventions: [], packs: [], hash: '' };
  for (const file of files) broken.push({ file, errors: result.errors.filter((error) => error.file === file) });
  return build(fewer[0], fewer[1], broken);
};

const whole = (file: string, code: string, message: string): Diagnostic => ({
  code,
  severity: 'error',
  file,
  line: 1,
  column: 1,
  endLine: 1,
  endColumn: 1,
  path: '',
  message,
});

const card = ({ scenario, warnings, file }: LoadedScenario, library: Library): ScenarioCard => ({
  id: scenario.id,
  title: scenario.title,
  summary: scenario.summary,
  level: scenario.level,
  setting: scenario.setting,
  patientText: `${scenario.patient.name}, ${scenario.patient.ageText}, ${scenario.patient.weightKg} kg`,
  ageYears: scenario.patient.ageYears,
  weightKg: scenario.patient.weightKg,
  guidelines: scenario.guidelines.map((id) => ({
    id,
    title: library.packs.find((pack) => pack.id === id)?.title ?? id,
  })),
  objectives: scenario.objectives.map(({ says }) => says),
  warnings: warnings.length,
  file,
});
