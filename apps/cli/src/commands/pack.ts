import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { closest, forkPack, readPack, type GuidelinePack, type Library } from '@breathline/scenario';
import { packDifferences, packLineage, packNames, type PackDifference } from '@breathline/debrief';
import { CAUTION } from '@breathline/engine';
import { parseArgs, type Parsed } from '../args.ts';
import { locate, UsageError, writeText, yamlFiles, type World } from '../io.ts';
import { loadLibrary } from '../library.ts';

/** `pack fork ID --as NEW-ID` and `pack diff A [B]` */
export function pack(args: readonly string[], world: World): number {
  const parsed = parseArgs('pack', args, {
    values: ['--as', '--title', '--to', '--library'],
    switches: ['--json'],
  });
  const [verb, ...ids] = parsed.files;
  const { library, folder } = load(world, parsed.values.get('--library'));
  if (verb === 'fork') return fork(ids, parsed, { world, library, folder });
  if (verb === 'diff') return diff(ids, parsed, { world, library });
  throw new UsageError(
    'no-verb',
    verb === undefined ? '“pack” needs “fork” or “diff”' : `“pack” knows no “${verb}”`,
    'For example: breathline pack diff anaphylaxis-uk-2021 anaphylaxis-ascia-2024',
  );
}

interface Around {
  readonly world: World;
  readonly library: Library;
}

function load(world: World, directory: string | undefined): { readonly library: Library; readonly folder: string } {
  const { library, folder, errors } = loadLibrary(world, directory);
  if (library !== null) return { library, folder };
  throw new UsageError(
    'file-has-errors',
    `the library has ${errors.length === 1 ? 'an error' : `${errors.length} errors`}, first in ${errors[0]?.file ?? 'a file'}`,
    'See them all with “breathline check” and the guidelines folder.',
  );
}

function packOf(library: Library, id: string): GuidelinePack {
  const found = library.packs.find((one) => one.id === id);
  if (found) return found;
  const ids = library.packs.map((one) => one.id);
  const near = closest(id, ids);
  throw new UsageError(
    'unknown-pack',
    `there is no guideline pack “${id}”`,
    near ? `Did you mean ${near}?` : `There are: ${ids.join(', ') || 'none'}.`,
  );
}

function fork(
  ids: readonly string[],
  { values, switches }: Parsed,
  { world, library, folder }: Around & { readonly folder: string },
): number {
  const [id] = ids;
  const asId = values.get('--as');
  if (id === undefined || ids.length > 1 || asId === undefined) {
    throw new UsageError(
      'no-files',
      '“pack fork” needs one pack and the id of the copy',
      'For example: breathline pack fork anaphylaxis-uk-2021 --as our-hospital-anaphylaxis',
    );
  }
  const parent = packOf(library, id);
  if (library.packs.some((one) => one.id === asId))
    throw new UsageError('same-pack-id', `there is a pack “${asId}” already`, 'Choose another id.');
  const { interventions } = library;
  const text = yamlFiles(join(folder, 'guidelines'))
    .map((file) => readFileSync(file, 'utf8'))
    .find((each) => {
      const read = readPack(each, { file: id, interventions });
      return read.ok && read.value.id === id;
    });
  if (text === undefined) throw new UsageError('file-unreadable', `the file of “${id}” can not be read again`);
  const title = values.get('--title');
  const copy = forkPack(text, { parent, asId, interventions, ...(title === undefined ? {} : { title }) });
  if (!copy.ok) throw new UsageError('not-copied', copy.problem, copy.mend);
  const to = values.get('--to') ?? join(folder, 'guidelines', `${asId}.yaml`);
  if (existsSync(locate(to)))
    throw new UsageError('file-exists', `there is a file ${to} already`, 'Choose another id, or move it.');
  writeText(to, copy.text);
  if (switches.has('--json')) world.out(JSON.stringify({ id: asId, forkedFrom: id, file: to }));
  else
    world.out(
      `${to}\nA copy of ${parent.title}. ${CAUTION}\nEdit it in any text editor, then: breathline check ${to}\nHow it differs: breathline pack diff ${asId}`,
    );
  return 0;
}

function diff(ids: readonly string[], { switches }: Parsed, { world, library }: Around): number {
  const [first, second, ...more] = ids;
  if (first === undefined || more.length > 0) {
    throw new UsageError(
      'no-files',
      '“pack diff” needs two packs, or one copy',
      'For example: breathline pack diff anaphylaxis-uk-2021 anaphylaxis-ascia-2024',
    );
  }
  const names = packNames(library);
  const b = packOf(library, second ?? first);
  const lineage = packLineage(b, library.packs, names);
  if (second === undefined && lineage === null)
    throw new UsageError('not-a-copy', `“${first}” is no copy of another pack`, 'Name two packs to hold side by side.');
  const a = second === undefined ? lineage!.parent : packOf(library, first);
  if (a === null)
    throw new UsageError('unknown-pack', `“${first}” was copied from “${lineage!.parentId}”, which is not here`);
  const differences = packDifferences(a, b, names);
  // Sources and fingerprint say something of a copy and its own parent only.
  const own = lineage?.parent?.id === a.id ? lineage : null;
  if (switches.has('--json')) {
    const copy = own && {
      sources: own.sources,
      staleChecks: own.staleChecks,
      parentMovedOn: own.parentMovedOn,
    };
    world.out(JSON.stringify({ a: a.id, b: b.id, differences, ...(copy ? { copy } : {}) }, null, 2));
  } else {
    world.out([`${a.title} (${a.id})`, `${b.title} (${b.id})`, CAUTION, ''].join('\n'));
    world.out(differences.length === 0 ? 'They say the same.' : differences.map(differenceText).join('\n'));
    if (own) {
      for (const one of own.sources) world.out(`Source changed: ${one.about}\n  a  ${one.a}\n  b  ${one.b}`);
      for (const about of own.staleChecks)
        world.out(`Changed, but still says that a clinician checked the old words: ${about}`);
      if (own.parentMovedOn === true) world.out(`${a.id} has changed since this copy was made.`);
    }
  }
  return differences.length === 0 && (own?.sources.length ?? 0) === 0 ? 0 : 1;
}

const differenceText = ({ about, a, b }: PackDifference): string =>
  `${about}\n  a  ${a ?? 'no such line'}\n  b  ${b ?? 'no such line'}\n`;
