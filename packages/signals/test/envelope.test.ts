import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { envelope } from '../src/index.ts';
import { fed } from './helpers.ts';

describe('envelope', () => {
  it('keeps every R wave, however wide the columns', () => {
    const traces = fed({ ecgRatePerMin: 180 }, 20_000);
    for (const columnMs of [4, 17, 40, 120]) {
      const count = Math.floor(8000 / columnMs);
      const columns = envelope(traces.ecg, 8000, columnMs, count);
      for (const beat of traces.beats.between(8100, 15_800)) {
        const c = Math.floor((beat.atMs - 8000) / columnMs);
        const top = Math.max(columns[c * 4 + 2]!, columns[(c + 1) * 4 + 2]!, columns[(c - 1) * 4 + 2]!);
        expect(top).toBeGreaterThan(0.9);
      }
    }
  });

  it('joins each column to the next and keeps its ends inside its bounds', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.1, max: 60, noNaN: true }),
        fc.integer({ min: 0, max: 80 }),
        fc.double({ min: 0.1, max: 9, noNaN: true }),
        (width, count, hz) => {
          const columns = envelope((t) => Math.sin((2 * Math.PI * hz * t) / 1000), 123, width, count);
          expect(columns.length).toBe(count * 4);
          for (let c = 0; c < count; c += 1) {
            const [entry, least, greatest, exit] = columns.slice(c * 4, c * 4 + 4);
            expect(least).toBeLessThanOrEqual(Math.min(entry!, exit!));
            expect(greatest).toBeGreaterThanOrEqual(Math.max(entry!, exit!));
            if (c > 0) expect(entry).toBe(columns[(c - 1) * 4 + 3]);
          }
        },
      ),
      { seed: 42 },
    );
  });
});
