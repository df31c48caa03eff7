import { describe, expect, it } from 'vitest';
import fc from 'fast-check';
import { parseTime } from '../../src/lib/debrief/parse-time.ts';

const END = 20 * 60_000;

describe('a time as people say it', () => {
  it.each([
    ['4:30', 270],
    ['4.30', 270],
    ['430', 270],
    ['0:05', 5],
    ['4', 240],
    ['4 min', 240],
    ['90 s', 90],
    ['90s', 90],
    [' 12:00 ', 720],
  ])('%s is %d s', (text, seconds) => {
    expect(parseTime(text, END)).toEqual({ ok: true, atMs: seconds * 1000 });
  });

  it('empty means no time', () => {
    expect(parseTime('  ', END)).toEqual({ ok: true, atMs: null });
  });

  it.each(['4:75', 'soon', '-1:00', '4:3', '1e3', '25:00'])('%s is refused in words', (text) => {
    const parsed = parseTime(text, END);
    expect(parsed.ok).toBe(false);
    if (!parsed.ok) expect(parsed.why.length).toBeGreaterThan(10);
  });

  it('never gives a time outside the run', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 8 }), (text) => {
        const parsed = parseTime(text, END);
        if (parsed.ok && parsed.atMs !== null) expect(parsed.atMs >= 0 && parsed.atMs <= END).toBe(true);
      }),
    );
  });
});
