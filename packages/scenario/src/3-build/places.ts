/** Where things stand in a file that has been read: for messages about what a scenario does, not how it is written. */
import { Bag } from '../1-read/bag.ts';
import { readYaml } from '../1-read/read-yaml.ts';
import { Source } from '../1-read/source.ts';
import { keyRangeAt, nodeAt, type Path } from '../1-read/tree.ts';

/** A place in a file, 1-based. */
export interface FilePlace {
  readonly line: number;
  readonly column: number;
}

/** Finds places by path; of a path that is not there, the nearest place above it. */
export class FilePlaces {
  readonly #source: Source;
  readonly #root: ReturnType<typeof readYaml>;

  constructor(text: string, file: string) {
    this.#source = new Source(file, text);
    this.#root = readYaml(new Bag(this.#source));
  }

  /** Where the value at a path begins, or its key where it has one. */
  at(path: Path): FilePlace {
    if (this.#root === null) return { line: 1, column: 1 };
    const last = path[path.length - 1];
    const range = typeof last === 'string' ? keyRangeAt(this.#root, path) : nodeAt(this.#root, path);
    return this.#source.position(range.start);
  }

  /** Where a state stands: a scenario with one thread writes its states at the top. */
  state(thread: string, state: string, more: Path = []): FilePlace {
    const within = this.#root?.kind === 'map' && this.#root.entries.has('threads') ? ['threads', thread] : [];
    return this.at([...within, 'states', state, ...more]);
  }
}
