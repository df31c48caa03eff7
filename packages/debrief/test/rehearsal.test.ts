import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { buildLibrary, readScenario } from '@breathline/scenario';
import { endingsNeverReached, RehearsalRoom, rulesNeverTaken, statesNeverReached } from '../src/index.ts';

const folder = new URL('../../../tests/faults/scenarios/', import.meta.url);
const read = (file: string): string => readFileSync(new URL(file, folder), 'utf8');
const built = buildLibrary({
  formularies: [{ file: 'fixture.yaml', text: read('formulary/fixture.yaml') }],
  packs: [{ file: 'fixture-pack.yaml', text: read('guidelines/fixture-pack.yaml') }],
});
if (!built.ok) throw new Error('the library of the tests has errors');

/** The small scenario with other rehearsals, and one more state that nothing leads to but a rule of its own. */
const TEXT = read('fault-drill.yaml')
  .replace(/rehearsals:[\s\S]*$/, '')
  .replace(
    '        says: SECRET-BECAUSE\n',
    `        says: SECRET-BECAUSE
      - { to: settled, when: { faculty: Enough } }
      - { to: gone, when: { vital: spo2, below: 20 % } }
  gone:
    title: GONE
    ending: { outcome: Lost, kind: poor }
`,
  );
const roomOf = (rehearsals: string): RehearsalRoom => {
  const text = `${TEXT}rehearsals:\n${rehearsals}`;
  const scenario = readScenario(text, { file: 'x.yaml', library: built.value });
  if (!scenario.ok) throw new Error(scenario.errors.map(({ message }) => message).join('; '));
  return new RehearsalRoom(
    { scenario: scenario.value, library: built.value, packId: 'fixture-pack', seed: 1 },
    { file: 'x.yaml', text },
  );
};
const reportOf = (rehearsals: string) => {
  const room = roomOf(rehearsals);
  return {
    report: room.report(room.definition.scenario.rehearsals.map((one) => room.play(one))),
    lines: room.source.text.split('\n'),
  };
};

describe('what a rehearsal tells', () => {
  it('places, what was found, and a mend for each expectation that does not hold', () => {
    const { report, lines } = reportOf(`
  - name: nobody acts
    for: 2 min
    expect:
      - { state: settled, by: 1:00 }
      - { state: arrival, never: true }
      - { vital: spo2, at-least: 100 %, at: 1:30 }
      - { vital: systolic, above: high-limit-for-age, at: 1:30 }
      - { target: first-adrenaline, is: met }
  - name: treated
    for: 2 min
    does:
      - { at: 0:30, give: adrenaline-im, dose: as-pack }
    expect:
      - { state: settled, by: 0:10 }
      - { state: settled, not-before: 1:00 }
      - { state: settled, not-before: 0:20, by: 0:40 }
`);
    expect(report.ok).toBe(false);
    const [nobody, treated] = report.rehearsals;
    expect(nobody!.checks.map(({ ok }) => ok)).toEqual([false, false, false, false, false]);
    expect(treated!.checks.map(({ ok }) => ok)).toEqual([false, false, true]);
    // Each points at its own line of the file.
    for (const { checks } of report.rehearsals) {
      for (const check of checks) {
        const line = lines[check.place.line - 1]!;
        expect(line.slice(check.place.column - 1)).toMatch(/^\{ (state|vital|target):/);
        const about = /^at \d+:\d\d (SpO2|systolic)|^(arrival|settled)|^target (first-adrenaline)/.exec(check.says);
        expect(line.toLowerCase()).toContain((about![1] ?? about![2] ?? about![3])!.toLowerCase());
      }
    }
    expect(nobody!.checks[0]!.found).toBe('settled was never reached: at 1:00 it was still “arrival”, since 0:00');
    expect(nobody!.checks[1]!.found).toContain('arrival was reached at 0:00');
    expect(nobody!.checks[2]!).toMatchObject({
      says: 'at 1:30 SpO2 at least 100 %',
      found: expect.stringMatching(/^it was \d+(\.\d+)? %$/) as string,
    });
    expect(nobody!.checks[3]!.says).toMatch(/above the high limit for age \(\d+ mmHg\)/);
    expect(treated!.checks[0]!.found).toMatch(
      /^settled was reached at 0:3\d from “arrival”, 2\d(\.\d)? s too late: SECRET-BECAUSE\.$/,
    );
    expect(treated!.checks[1]!.found).toContain('too soon');
    for (const { ok, mend } of [...nobody!.checks, ...treated!.checks]) expect(mend === undefined).toBe(ok);
  });

  it('tells two rules to the same state apart, and names what nothing ever comes to', () => {
    const { report, lines } = reportOf(`
  - name: faculty end it
    for: 1 min
    does:
      - { at: 0:20, faculty: Enough }
    expect:
      - { state: settled, by: 0:30 }
`);
    expect(report.ok).toBe(true);
    expect(endingsNeverReached(report).map(({ state, ending }) => [state, ending])).toEqual([['gone', 'Lost']]);
    expect(statesNeverReached(report)).toEqual([]);
    const never = rulesNeverTaken(report);
    expect(never.map(({ from, to, place }) => [from, to, lines[place.line - 1]!.trim()])).toEqual([
      ['arrival', 'settled', '- to: settled'],
      ['arrival', 'gone', '- { to: gone, when: { vital: spo2, below: 20 % } }'],
    ]);
    expect(report.rules.find(({ takenIn }) => takenIn.length > 0)).toMatchObject({
      when: 'faculty press “Enough”',
      takenIn: ['faculty end it'],
    });
  });

  it('draws each vital with its lowest and highest value kept', () => {
    const room = roomOf(`
  - name: nobody acts
    for: 10 min
    expect:
      - { state: settled, never: true }
`);
    const { result, tells } = room.play(room.definition.scenario.rehearsals[0]!);
    for (const { vital, points } of tells.courses) {
      const all = result.track.map((row) => row.true[vital]);
      expect(points.length).toBeLessThan(all.length);
      const near = (value: number) => expect.closeTo(value, 0);
      expect(Math.min(...points.map(([, value]) => value))).toEqual(near(Math.min(...all)));
      expect(Math.max(...points.map(([, value]) => value))).toEqual(near(Math.max(...all)));
      expect(points.at(-1)![0]).toBe(600_000);
    }
  });
});
