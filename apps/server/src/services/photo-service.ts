/** Pictures of system problems: taken in from faculty and crew, shown to faculty, in no export. */
import { randomUUID } from 'node:crypto';
import type { PhotoAnswer } from '@breathline/protocol';
import { Refusal } from '../refusal.ts';
import { PHOTO_TYPES, type PhotoStore, type PhotoType } from '../store/photo-store.ts';
import { requireCrew, requireFaculty, type Caller, type CrewCaller } from './access.ts';
import { cleanPhoto, photoType } from './photo-clean.ts';
import type { RunRegistry } from './run-registry.ts';

/** A phone's picture, scaled by its camera app or not. */
export const MAX_PHOTO_BYTES = 6 * 1024 * 1024;
/** A drill with more system problems than this has another problem. */
const MOST_PER_RUN = 60;

export class PhotoService {
  readonly #store: PhotoStore;
  readonly #registry: RunRegistry;

  constructor(store: PhotoStore, registry: RunRegistry) {
    this.#store = store;
    this.#registry = registry;
  }

  /** Throws a `Refusal`: not signed in, no such run, no picture, too many. */
  async add(caller: Caller, runId: string, content: unknown, declared: string | undefined): Promise<PhotoAnswer> {
    requireFaculty(caller);
    return this.#add(runId, 'faculty', content, declared);
  }

  /** The run is the one the pass was given for. */
  async addFromCrew(crew: CrewCaller | null, content: unknown, declared: string | undefined): Promise<PhotoAnswer> {
    const { runId, role } = requireCrew(crew);
    return this.#add(runId, role, content, declared);
  }

  async #add(runId: string, byRole: string, content: unknown, declared: string | undefined): Promise<PhotoAnswer> {
    const { run } = await this.#registry.get(runId);
    if (run.photos.size >= MOST_PER_RUN) {
      throw new Refusal('bad-photo', `This run has ${MOST_PER_RUN} pictures already.`, { hint: 'Use words instead.' });
    }
    if (!Buffer.isBuffer(content) || content.length < 12) throw new Refusal('bad-photo', 'There is no picture here.');
    const type = photoType(content);
    if (type === null) throw new Refusal('bad-photo', 'The first bytes are not those of a JPEG, PNG or WebP picture.');
    if (type !== declared) {
      throw new Refusal('bad-photo', `The file says it is ${String(declared)} and is ${type.replace('image/', '')}.`);
    }
    const clean = cleanPhoto(content, type);
    if (clean === null) throw new Refusal('bad-photo', 'The picture is broken off or damaged.');
    const photo = { id: randomUUID(), runId, type, bytes: clean.length, byRole };
    // Counted before the disk, so that a burst does not slip past the limit.
    run.photos.add(photo.id);
    try {
      await this.#store.add(photo, clean);
    } catch (error) {
      run.photos.delete(photo.id);
      console.error('A picture could not be kept:', error);
      throw new Refusal('not-saved');
    }
    return { photo: photo.id, bytes: clean.length };
  }

  async read(caller: Caller, runId: string, id: string): Promise<{ type: PhotoType; content: Buffer }> {
    requireFaculty(caller);
    const found = await this.#store.read(runId, id);
    if (!found) throw new Refusal('not-found', 'This run has no such picture.');
    return found;
  }
}

/** Content types a picture may come as. */
export const PHOTO_CONTENT_TYPES = Object.keys(PHOTO_TYPES);
