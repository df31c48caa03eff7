import { expect, it } from 'vitest';
import { eventsCsv } from '../src/index.ts';
import { adrenaline, build, s } from './build-run.ts';

it('gives an act that was amended one row, with what was added last; an amendment taken back says nothing', () => {
  const rows = (undone: boolean): string[] =>
    eventsCsv(
      build({
        lines: [
          adrenaline(s(100), { doseSeen: false }),
          { at: s(104), kind: 'act-amended', targetSeq: 2, doneBy: 'Nurse one', doseSeen: true },
          ...(undone ? [{ at: s(106), kind: 'event-withdrawn', targetSeq: 3 } as const] : []),
        ],
      }),
      { withFreeText: true },
    )
      .split('\r\n')
      .filter((row) => /,(intervention|act-amended),/.test(row));
  expect(rows(false)).toHaveLength(1);
  expect(rows(false)[0]).toContain('""givenBy"":""Nurse one""');
  expect(rows(false)[0]).toContain('""doseSeen"":true');
  expect(rows(true)).toHaveLength(1);
  expect(rows(true)[0]).toContain('""doseSeen"":false');
  expect(rows(true)[0]).not.toContain('Nurse one');
});
