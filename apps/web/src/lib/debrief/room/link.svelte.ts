/** Faculty's end of the room's screen: opens the window, keeps it in step, and knows whether it is there. */
import type { MonitorFrame } from '@breathline/protocol';
import { roomChannel, type FromRoom, type RoomLook, type RoomPicture, type ToRoom } from './picture.ts';

export class RoomLink {
  /** A room's screen is open and listening. */
  there = $state(false);
  /** Faculty cover it. */
  covered = $state(false);

  readonly #path: string;
  readonly #channel: BroadcastChannel;
  #picture: RoomPicture | null = null;
  #look: RoomLook = { window: null, cursorMs: null };
  #monitor: Extract<ToRoom, { t: 'monitor' }> | null = null;

  constructor(runId: string) {
    this.#path = `/debrief/${runId}/room`;
    this.#channel = roomChannel(runId);
    this.#channel.addEventListener('message', ({ data }: MessageEvent<FromRoom>) => {
      this.there = data.t === 'hello';
      if (this.there) this.#all();
    });
    this.#tell({ t: 'who' });
  }

  open(): void {
    window.open(this.#path, 'breathline-room', 'popup');
  }

  show(picture: RoomPicture): void {
    if (this.#picture?.shown.kind !== picture.shown.kind) {
      this.#look = { window: null, cursorMs: null };
      this.#monitor = null;
    }
    this.#picture = picture;
    this.#all();
  }

  look(look: RoomLook): void {
    this.#look = look;
    this.#tell({ t: 'look', look });
  }

  monitor(frame: MonitorFrame, clockMs: number): void {
    this.#monitor = { t: 'monitor', frame, clockMs };
    // A covered or closed picture must not be followed by numbers.
    if (this.#picture?.shown.kind === 'replay') this.#tell(this.#monitor);
  }

  /** Faculty's page goes: the room keeps nothing of it. */
  away(): void {
    this.#tell({ t: 'away' });
  }

  close(): void {
    this.away();
    this.#channel.close();
  }

  #all(): void {
    if (!this.#picture) return;
    this.#tell({ t: 'picture', picture: this.#picture });
    const { kind } = this.#picture.shown;
    if (kind === 'timeline') this.#tell({ t: 'look', look: this.#look });
    if (kind === 'replay' && this.#monitor) this.#tell(this.#monitor);
  }

  #tell(message: ToRoom): void {
    this.#channel.postMessage(message);
  }
}
