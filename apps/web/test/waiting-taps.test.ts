import { describe, expect, it } from 'vitest';
import { LONGEST_HELD_MS, parseClientMessage } from '@breathline/protocol';
import { commandOf } from '../src/lib/api/waiting-taps.ts';
import type { Pending } from '../src/lib/api/line-types.ts';

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
