/** Taps that wait in the browser's storage for a page that sends them. */
import { describe, expect, it } from 'vitest';
import type { KeptTaps } from '../../src/lib/api/run-socket.ts';
import { momentText } from '../../src/lib/time.ts';
import { GONE_AFTER_MS, PageOutbox, tapsKept, undoKept, type Keep } from '../../src/lib/console/outbox.ts';

/** Storage in memory. */
class Shelf implements Keep {
  readonly #all = new Map<string, string>();
  get length(): number {
    return this.#all.size;
  }
  key(at: number): string | null {
    return [...this.#all.keys()][at] ?? null;
  }
  getItem(key: string): string | null {
    return this.#all.get(key) ?? null;
  }
  setItem(key: string, value: string): void {
    this.#all.set(key, value);
  }
  removeItem(key: string): void {
    this.#all.delete(key);
  }
}

const kept = (...kinds: string[]): KeptTaps => ({
  clientId: 'seat',
  n: kinds.length,
  taps: kinds.map((kind, at) => ({
    n: at + 1,
    command: { kind } as unknown as KeptTaps['taps'][number]['command'],
    agoMs: 0,
    wallMs: 1_000,
  })),
});

describe('what waits outlives its page', () => {
  it('is taken over by the next page of that run once the first is gone, and by no page of another run', () => {
    const shelf = new Shelf();
    let now = 1_000_000;
    const first = new PageOutbox('run', shelf, () => now);
    first.save(kept('mark', 'note'));
    expect(tapsKept('run', shelf)).toHaveLength(2);
    expect(tapsKept('other', shelf)).toEqual([]);
    // Still tended.
    expect(new PageOutbox('run', shelf, () => now).load()).toBeNull();
    first.leave();
    expect(new PageOutbox('other', shelf, () => now).load()).toBeNull();
    expect(new PageOutbox('run', shelf, () => now).load()?.taps).toHaveLength(2);
    // Taken over, and tended again.
    expect(new PageOutbox('run', shelf, () => now).load()).toBeNull();
    // A page that died without a word.
    now += GONE_AFTER_MS + 1;
    const heir = new PageOutbox('run', shelf, () => now);
    expect(heir.load()?.taps).toHaveLength(2);
    heir.save(kept());
    expect(shelf.length).toBe(0);
  });

  it('remembers over a reload which waiting tap was undone, and when', () => {
    const shelf = new Shelf();
    const first = new PageOutbox('run', shelf);
    const [dose, mark] = kept('intervention', 'mark').taps;
    first.save({ clientId: 'seat', n: 2, taps: [dose!, { ...mark!, undoneMs: 4_000 }] });
    first.leave();
    expect(new PageOutbox('run', shelf).load()?.taps.map(({ undoneMs }) => undoneMs)).toEqual([undefined, 4_000]);
  });

  it('can be undone before its run is open, by its own words, unless a page that is open tends it', () => {
    const shelf = new Shelf();
    const first = new PageOutbox('run', shelf, () => 50_000);
    const [dose, mark] = kept('intervention', 'mark').taps;
    first.save({ clientId: 'seat', n: 2, taps: [{ ...dose!, said: { label: 'Dose: given', atMs: 9_000 } }, mark!] });
    const [tended, wordless] = tapsKept('run', shelf, 51_000);
    // Kept before words were kept with a tap: named by what it logs and the wall clock, with no moment of the run.
    expect(wordless?.label).toMatch(/^Mark, tapped at \d\d:\d\d$/);
    expect(momentText(wordless?.occurredAtMs ?? 0)).toBe('');
    expect(tended).toMatchObject({ label: 'Dose: given', occurredAtMs: 9_000, held: true });
    undoKept(tended!, shelf, 51_000);
    expect(tapsKept('run', shelf).map(({ takenBack }) => takenBack)).toEqual([undefined, undefined]);
    first.leave();
    undoKept(tapsKept('run', shelf, 52_000)[0]!, shelf, 52_000);
    // Pressed again: the first press counts.
    undoKept(tapsKept('run', shelf, 58_000)[0]!, shelf, 58_000);
    expect(tapsKept('run', shelf).map(({ takenBack }) => takenBack)).toEqual([true, undefined]);
    expect(new PageOutbox('run', shelf).load()?.taps.map(({ undoneMs }) => undoneMs)).toEqual([52_000, undefined]);
  });

  it('holds what happened in the room and what is about a line, and nothing that acts on the clock', () => {
    const shelf = new Shelf();
    const page = new PageOutbox('run', shelf);
    page.save(kept('intervention', 'event-withdrawn', 'act-amended', 'mark-named', 'run-resumed', 'run-paused'));
    page.leave();
    const left = new PageOutbox('run', shelf).load();
    expect(left?.taps.map(({ command }) => command.kind)).toEqual([
      'intervention',
      'event-withdrawn',
      'act-amended',
      'mark-named',
    ]);
    expect(left?.n).toBe(6);
  });
});
