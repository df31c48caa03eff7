/**
 * Pictures that faculty put on the learners' results screen, from `scenarios/exhibits` and nowhere else. Learners' screens
 * get an address that tells nothing: a file called after its diagnosis would give it away.
 */
import { createHmac, randomBytes } from 'node:crypto';
import { readFile, readdir, realpath, stat } from 'node:fs/promises';
import path from 'node:path';
import { Refusal } from '../refusal.ts';
import { requireFaculty, type Caller } from './access.ts';

const TYPES: Readonly<Record<string, string>> = {
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.jpg': 'image/jpeg',
  '.jpeg': 'image/jpeg',
  '.webp': 'image/webp',
};
const MAX_BYTES = 8 * 1024 * 1024;
/** A plain file name; nothing that leads elsewhere. */
const NAME = /^[A-Za-z0-9][A-Za-z0-9._-]{0,99}$/;

export interface ExhibitPicture {
  readonly type: string;
  readonly content: Buffer;
}

export class ExhibitService {
  readonly #folder: string;
  /** New with each start: addresses handed out before are then asked for again. */
  readonly #secret = randomBytes(32);
  readonly #given = new Map<string, string>();

  constructor(scenariosFolder: string) {
    this.#folder = path.join(scenariosFolder, 'exhibits');
  }

  /** The address for learners' screens of a picture given by file name. */
  address(file: string): string {
    const name = createHmac('sha256', this.#secret).update(file).digest('hex').slice(0, 32) + path.extname(file);
    this.#given.set(name, file);
    return `/api/exhibits/${name}`;
  }

  /** By an address handed out, for anyone who holds it; by file name, for faculty. */
  async read(caller: Caller, asked: string): Promise<ExhibitPicture> {
    const given = this.#given.get(asked);
    if (given === undefined) requireFaculty(caller);
    return this.#read(given ?? asked);
  }

  async #read(file: string): Promise<ExhibitPicture> {
    const type = TYPES[path.extname(file).toLowerCase()];
    const none = () => new Refusal('not-found', 'There is no such picture in scenarios/exhibits.');
    if (type === undefined || !NAME.test(file)) throw none();
    const root = await realpath(this.#folder).catch(() => null);
    if (root === null || !(await readdir(root)).includes(file)) throw none();
    const real = await realpath(path.join(root, file)).catch(() => null);
    // A link out of the folder is not of the folder.
    if (real === null || path.dirname(real) !== root) throw none();
    const info = await stat(real);
    if (!info.isFile() || info.size > MAX_BYTES) throw none();
    return { type, content: await readFile(real) };
  }
}
