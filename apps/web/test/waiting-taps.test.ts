import { describe, expect, it } from 'vitest';
import { LONGEST_HELD_MS, parseClientMessage, type AckMessage } from '@breathline/protocol';
import { commandOf, WaitingTaps } from '../src/lib/api/waiting-taps.ts';
import type { KeptTaps, Outbox, Pending } from '../src/lib/api/line-types.ts';

const DAY_MS = 86_400_000;

/** Words of a debrief written so long ago, on a page opened a moment ago. */
const kept = (agoMs: number): Pending => ({
  n: 1,
  command: { kind: 'debrief-note', column: 'plus', text: 'Called early' },
  agoMs: 0,
  baseSeq: undefined,
  wallMs: Date.now() - agoMs,
  askedAt: -agoMs,
  lastSentAt: 0,
  resolve: () => undefined,
  reject: () => undefined,
});

describe('what waited on a device that was put away', () => {
  it.each([
    ['over lunch', 3 * 3_600_000, 3 * 3_600_000],
    ['over a weekend', 3 * DAY_MS, 3 * DAY_MS],
    ['for a year', 365 * DAY_MS, LONGEST_HELD_MS],
  ])('%s is taken by the server', (_words, agoMs, saysMs) => {
    const sent = commandOf('0123456789abcdef01234567', kept(agoMs), 0);
    expect(Math.abs((sent.heldMs ?? 0) - saysMs)).toBeLessThan(1_000);
    expect(parseClientMessage(JSON.stringify(sent))).toMatchObject({ ok: true });
  });
});

describe('what a page left waiting, on the page that comes after it', () => {
  it('stands by its own words and time, can be undone once more only if it was not, and is told of its answer', async () => {
    let stored: KeptTaps | null = null;
    const outbox: Outbox = { load: () => stored, save: (kept) => (stored = structuredClone(kept)) };
    const page = (): WaitingTaps => new WaitingTaps(outbox, undefined, performance.now(), () => undefined);
    const before = page();
    const tap = (label: string) => ({
      command: { kind: 'mark' } as const,
      agoMs: 0,
      baseSeq: undefined,
      askedAt: performance.now(),
      wallMs: Date.now(),
      said: { label, atMs: 61_000 },
      resolve: () => undefined,
      reject: () => undefined,
    });
    before.add(tap('Dose'));
    before.undo(before.add(tap('Mark')).n, performance.now());

    const after = page();
    expect(after.clientId).toBe(before.clientId);
    expect(after.left.map(({ number, said, undone }) => [number, said.label, said.atMs, undone])).toEqual([
      [1, 'Dose', 61_000, false],
      [2, 'Mark', 61_000, true],
    ]);
    // Undone on this page: the page after it still knows, so that whichever sends it withdraws it.
    after.undo(1, performance.now());
    expect(after.undone(1)).toBeDefined();
    expect(page().left.map(({ undone }) => undone)).toEqual([true, true]);

    after.settle(1, true)?.resolve({ t: 'ack', n: 1, seq: 9, warnings: [] } as unknown as AckMessage);
    expect((await after.left[0]!.answered).seq).toBe(9);
    expect(page().left.map(({ number }) => number)).toEqual([2]);
  });
});
