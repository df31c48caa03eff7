import { expect, it } from 'vitest';
import { TYPED_WORDS } from '@breathline/engine';
import { eventsCsv, scoreRun, scorecardCsv } from '../src/index.ts';
import { adrenaline, build, end, s, track, type Line } from './build-run.ts';

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

it('without typed words leaves out every field in which a name may have been typed, whatever the kind of line', () => {
  const said = Object.entries(TYPED_WORDS).flatMap(([kind, fields], i) =>
    fields.map((field): Line => ({ at: s(10 + i), kind, [field]: 'Zebedee Quill' }) as unknown as Line),
  );
  expect(said.length).toBeGreaterThan(20);
  const run = build({ lines: [...said, end(s(100))] });
  expect(eventsCsv(run)).not.toContain('Zebedee');
  const whole = eventsCsv(run, { withFreeText: true });
  for (const { kind } of said.filter(({ kind }) => kind !== 'act-amended'))
    expect(whole).toMatch(new RegExp(`,${kind},.*Zebedee Quill`));
});

it('of the scorecard says what faculty judged beside what the clock says, without the reason', () => {
  const lines: Line[] = [
    adrenaline(s(600)),
    end(s(900)),
    { at: s(900), kind: 'line-adjusted', target: 'first-adrenaline', result: 'met', reason: 'Seen by Zebedee' },
  ];
  const run = build({ toMs: s(900), lines });
  const text = scorecardCsv(scoreRun({ ...run, track: track(s(900), () => ({ signs: { wheeze: 2 } })) }));
  const [head, ...rows] = text.split('\r\n').map((row) => row.split(','));
  const row = rows.find((cells) => cells[head!.indexOf('target')] === 'first-adrenaline')!;
  expect(row[head!.indexOf('faculty judged')]).toBe('met');
  expect(row[head!.indexOf('result')]).not.toBe('met');
  expect(text).not.toContain('Zebedee');
});
