/**
 * The recording of the room beside a replay. The file stays open while other parts of the debrief are looked at. A page that is
 * loaded again can not open it by itself; its name and where it is tied are kept on this device, so that it is asked for by name.
 */
import type { Clap } from './recording.ts';

/** What is kept of a file that was open here. */
interface Kept {
  readonly name: string;
  readonly bytes: number;
  readonly clap: Clap | null;
}

export class RoomRecording {
  /** Where the file that is open plays from; null when none is. */
  address = $state<string | null>(null);
  name = $state('');
  clap = $state.raw<Clap | null>(null);
  /** This browser can not play it. */
  failed = $state(false);
  /** Where it stood when it was last looked at, s. */
  atS = 0;
  /** Open here before the page was loaded again. */
  before = $state.raw<Kept | null>(null);
  /** Another file than the one that was tied: the tie is not taken over. */
  other = $state(false);

  readonly #key: string;
  #bytes = 0;

  constructor(runId: string, take: number) {
    this.#key = `breathline-recording:${runId}:${take}`;
    try {
      const kept = JSON.parse(localStorage.getItem(this.#key) ?? 'null') as Kept | null;
      if (kept !== null && typeof kept.name === 'string') this.before = kept;
    } catch {
      // Barred, or not ours: nothing was open.
    }
  }

  open(file: File): void {
    this.#letGo();
    this.address = URL.createObjectURL(file);
    [this.name, this.#bytes, this.failed, this.atS] = [file.name, file.size, false, 0];
    const same = this.before?.name === file.name && this.before.bytes === file.size;
    this.other = this.before?.clap != null && !same;
    this.clap = same ? (this.before?.clap ?? null) : null;
    this.before = null;
    this.#keep();
  }

  tie(clap: Clap | null): void {
    this.clap = clap;
    this.other = false;
    this.#keep();
  }

  /** Puts it away: nothing of it is kept. */
  drop(): void {
    this.#letGo();
    [this.clap, this.failed, this.before, this.other, this.atS] = [null, false, null, false, 0];
    this.#keep();
  }

  /** The page goes. */
  close(): void {
    this.#letGo();
  }

  #letGo(): void {
    if (this.address) URL.revokeObjectURL(this.address);
    this.address = null;
  }

  #keep(): void {
    const kept: Kept = { name: this.name, bytes: this.#bytes, clap: this.clap };
    try {
      if (this.address === null) localStorage.removeItem(this.#key);
      else localStorage.setItem(this.#key, JSON.stringify(kept));
    } catch {
      // Full or barred: it is chosen and tied again next time.
    }
  }
}
