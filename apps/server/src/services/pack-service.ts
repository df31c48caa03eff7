/** Guideline packs as files: which there are, one to take away, and a site's own copy written beside the published one. */
import { mkdir, realpath, writeFile } from 'node:fs/promises';
import path from 'node:path';
import type { PackCopied, PackFiles } from '@breathline/protocol';
import { forkPack } from '@breathline/scenario';
import { Refusal } from '../refusal.ts';
import { requireFaculty, type Caller } from './access.ts';
import type { LibraryService } from './library-service.ts';

export class PackService {
  readonly #library: LibraryService;
  readonly #folder: string;

  constructor(library: LibraryService, scenariosFolder: string) {
    this.#library = library;
    this.#folder = scenariosFolder;
  }

  /** Where each pack that reads well lies, and what is wrong with those that do not. */
  async list(caller: Caller): Promise<PackFiles> {
    requireFaculty(caller);
    const { files, broken } = await this.#library.packs();
    return {
      folder: path.join(this.#folder, 'guidelines'),
      files: [...files].map(([id, { file }]) => ({ id, file })),
      broken: broken.filter(({ file }) => file.startsWith('guidelines/')),
    };
  }

  /** The file of a pack; with `as`, a copy of it under that id that nobody has written yet. */
  async file(caller: Caller, id: string, as?: string): Promise<{ readonly name: string; readonly text: string }> {
    requireFaculty(caller);
    const { files } = await this.#library.packs();
    const found = files.get(id);
    if (!found) throw new Refusal('no-such-pack', `There is no pack "${id}" without errors in the library.`);
    if (as === undefined) return { name: path.basename(found.file), text: found.text };
    return { name: `${as}.yaml`, text: await this.#copy(id, as, undefined) };
  }

  /** Writes a site's own copy. Never over a file that is there. */
  async fork(
    caller: Caller,
    id: string,
    wanted: { readonly as: string; readonly title?: string },
  ): Promise<PackCopied> {
    requireFaculty(caller);
    const text = await this.#copy(id, wanted.as, wanted.title);
    const file = `guidelines/${wanted.as}.yaml`;
    const closed = (why: string): Refusal =>
      new Refusal('folder-closed', `The copy was not written: ${why}`, {
        hint: 'Download the copy instead and put it into the guidelines folder yourself.',
      });
    try {
      const root = await realpath(this.#folder);
      await mkdir(path.join(root, 'guidelines'), { recursive: true });
      const place = await realpath(path.join(root, 'guidelines'));
      if (!place.startsWith(root + path.sep)) throw closed('the guidelines folder leads out of the scenarios folder.');
      await writeFile(path.join(place, `${wanted.as}.yaml`), text, { flag: 'wx' });
      return { id: wanted.as, file, path: path.join(place, `${wanted.as}.yaml`) };
    } catch (error) {
      if (error instanceof Refusal) throw error;
      const { code } = error as NodeJS.ErrnoException;
      if (code === 'EEXIST') throw new Refusal('same-pack-id', `There is a file ${file} already.`);
      throw closed(`the server may not write into ${path.join(this.#folder, 'guidelines')} (${code ?? 'unknown'}).`);
    }
  }

  async #copy(id: string, as: string, title: string | undefined): Promise<string> {
    const { library, files } = await this.#library.packs();
    const found = files.get(id);
    const parent = library.packs.find((pack) => pack.id === id);
    if (!found || !parent) throw new Refusal('no-such-pack', `There is no pack "${id}" without errors in the library.`);
    if (library.packs.some((pack) => pack.id === as))
      throw new Refusal('same-pack-id', `There is a pack "${as}" already.`);
    const copy = forkPack(found.text, {
      parent,
      asId: as,
      interventions: library.interventions,
      ...(title === undefined ? {} : { title }),
    });
    if (!copy.ok) throw new Refusal('bad-shape', `${copy.problem}.`, { hint: copy.mend });
    return copy.text;
  }
}
