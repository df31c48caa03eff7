/** Tests whose answer comes later: sampled when asked, told after a turnaround, true and printed both kept. */
import { describe, expect, it } from 'vitest';
import {
  buildExport,
  checkExport,
  replay,
  TESTS,
  type Derived,
  type EventBody,
  type RunDefinition,
} from '../src/index.ts';
import { definitionOf, give, INTERVENTIONS, LIBRARY, logOf, REACTION, START } from './fixtures.ts';
import { started } from './helpers.ts';

const GAS = { id: 'blood-gas', name: 'Blood gas sent', group: 'circulation', kind: 'test', search: [] } as const;
const TRYPTASE = { ...GAS, id: 'tryptase', name: 'Tryptase sample sent' } as const;
const withTests = (definition: RunDefinition): RunDefinition => ({
  ...definition,
  library: { ...LIBRARY, interventions: [...INTERVENTIONS, GAS, TRYPTASE] },
});
const RUN = withTests(REACTION);
const TURNAROUND = TESTS['blood-gas']!.turnaroundMs;
const ask = (site?: string): EventBody =>
  ({ ...give('blood-gas', null), ...(site === undefined ? {} : { site }) }) as EventBody;

type Result = Extract<Derived, { kind: 'result' }>;
const results = (derived: readonly Derived[]): Result[] =>
  derived.filter((fact): fact is Result => fact.kind === 'result');

describe('a blood gas', () => {
  it('is told after its turnaround, as at the time it was taken', () => {
    const { run, put } = started(RUN);
    run.advanceTo(60_000);
    const seq = put(ask());
    const then = run.view().trueVitals;
    expect(run.view().results).toEqual([
      {
        seq,
        test: 'blood-gas',
        name: 'Blood gas sent',
        sampledAtMs: 60_000,
        dueAtMs: 60_000 + TURNAROUND,
        text: null,
        values: null,
      },
    ]);
    run.advanceTo(60_000 + TURNAROUND - 100);
    expect(results(run.derived)).toEqual([]);
    run.advanceTo(400_000);
    const told = results(run.derived);
    expect(told).toHaveLength(1);
    const [result] = told;
    expect(result).toMatchObject({
      atMs: 60_000 + TURNAROUND,
      seq,
      test: 'blood-gas',
      sampledAtMs: 60_000,
      overridden: [],
    });
    expect(result!.true.pH).toBeCloseTo(then.arterialPh, 4);
    expect(result!.true.pco2MmHg).toBeCloseTo(then.paco2MmHg, 4);
    expect(result!.true.po2MmHg).toBeCloseTo(then.pao2MmHg, 1);
    expect(result!.true.lactateMmolPerL).toBeCloseTo(then.lactateMmolPerL, 6);
    // The patient has gone on since: the answer has not.
    expect(Math.abs(run.view().trueVitals.paco2MmHg - result!.true.pco2MmHg)).toBeGreaterThan(1);
    expect(run.view().results![0]).toMatchObject({ text: result!.text, values: result!.values });
    expect(result!.text).toMatch(/^Arterial gas: pH 7\.\d\d, PCO2 \d+\.\d kPa \(\d+ mmHg\), /);
  });

  it('prints values that fit each other by Henderson-Hasselbalch, near the truth but not it', () => {
    const printed = Array.from({ length: 40 }, (_, i) => {
      const run = replay(
        { ...RUN, seed: i + 1 },
        logOf([
          [0, START],
          [1000, ask()],
          [200_000, { kind: 'run-ended', why: '' }],
        ]),
      );
      return results(run.derived)[0]!;
    });
    for (const { values, true: truth } of printed) {
      // pH = 6.1 + log10(HCO3 / (0.0307 PCO2)), textbook; rounding of the printed pressures allows 0.02.
      const pH = 6.1 + Math.log10(values.bicarbonateMmolPerL / (0.0307 * values.pco2MmHg));
      expect(Math.abs(pH - values.pH)).toBeLessThan(0.02);
      expect(Math.abs(values.pH - truth.pH)).toBeLessThan(0.04); // proficiency limit, CLIA
      expect(Math.abs(values.pco2MmHg - truth.pco2MmHg)).toBeLessThan(5); // the same
      expect(values.pco2KPa).toBeCloseTo(values.pco2MmHg / 7.50062, 0);
    }
    const errors = printed.map(({ values, true: truth }) => values.pco2MmHg - truth.pco2MmHg);
    const sd = Math.sqrt(errors.reduce((sum, each) => sum + each * each, 0) / errors.length);
    expect(sd).toBeGreaterThan(0.4); // repeated samples: 0.74 mmHg (PMC4602629)
    expect(sd).toBeLessThan(1.3);
  });

  it('takes the site asked for, arterial when none is said', () => {
    const run = replay(
      RUN,
      logOf([
        [0, START],
        [60_000, ask('venous')],
        [60_000, ask('capillary')],
        [60_000, ask('elbow')],
        [300_000, { kind: 'run-ended', why: '' }],
      ]),
    );
    const told = results(run.derived);
    expect(told.map((each) => each.values.site)).toEqual(['venous', 'capillary', 'arterial']);
    expect(told[0]!.true.pco2MmHg).toBeGreaterThan(told[2]!.true.pco2MmHg);
    expect(told[0]!.true.po2MmHg).toBeLessThan(told[2]!.true.po2MmHg);
    expect(told[0]!.text).toContain('Venous gas');
  });

  it('alters neither the patient nor any device', () => {
    const log = (more: boolean) =>
      logOf([
        [0, START],
        [5000, { kind: 'device-attached', device: 'oximeter' }],
        ...(more ? [[60_000, ask()] as const] : []),
        [300_000, { kind: 'run-ended', why: '' }],
      ]);
    expect(replay(RUN, log(true)).track).toEqual(replay(RUN, log(false)).track);
  });

  it('a request logged late is answered that much sooner', () => {
    const run = replay(
      RUN,
      logOf([
        [0, START],
        [90_000, ask(), 30_000],
        [400_000, ask(), 100_000],
        [500_000, { kind: 'run-ended', why: '' }],
      ]),
    );
    expect(results(run.derived).map((each) => [each.atMs, each.sampledAtMs])).toEqual([
      [30_000 + TURNAROUND, 90_000],
      [400_000, 400_000],
    ]);
  });

  it('an undone request gives no answer; one restored late is told once; a told one stays told', () => {
    const { run, put } = started(RUN);
    run.advanceTo(10_000);
    const seq = put(ask());
    run.advanceTo(20_000);
    const undo = put({ kind: 'event-withdrawn', targetSeq: seq });
    run.advanceTo(200_000);
    expect(results(run.derived)).toEqual([]);
    expect(run.view().results).toEqual([]);
    put({ kind: 'event-withdrawn', targetSeq: undo });
    expect(results(run.derived).map((each) => [each.seq, each.atMs, each.sampledAtMs])).toEqual([
      [seq, 200_000, 10_000],
    ]);
    run.advanceTo(300_000);
    put({ kind: 'event-withdrawn', targetSeq: seq });
    run.advanceTo(301_000);
    expect(results(run.derived)).toHaveLength(1);
    expect(run.view().results).toEqual([]);
  });

  it('follows an override and says so', () => {
    const { run, put } = started(RUN);
    run.advanceTo(10_000);
    put({ kind: 'vital-overridden', vital: 'paco2MmHg', to: 80, overMs: 0 });
    put(ask());
    run.advanceTo(10_000 + TURNAROUND);
    const [result] = results(run.derived);
    expect(result!.true.pco2MmHg).toBeCloseTo(80, 6);
    expect(result!.overridden).toEqual(['paco2MmHg']);
  });

  it('survives a snapshot on its way, replays to the last bit, and is in the export', () => {
    const { run, put } = started(RUN);
    run.advanceTo(10_000);
    put(ask());
    run.advanceTo(30_000);
    const snapshot = run.snapshot();
    run.advanceTo(200_000);
    const [hash, told] = [run.hash(), results(run.derived)];
    run.restore(snapshot);
    run.advanceTo(200_000);
    expect(run.hash()).toBe(hash);
    expect(results(run.derived)).toEqual(told);
    const file = buildExport({
      runId: 'r',
      createdAt: '',
      definition: RUN,
      events: run.events,
      derived: run.derived,
      track: run.track,
    });
    const back = checkExport(JSON.stringify(file));
    expect(results(back.derived)).toEqual(told);
  });

  it('a test with no answer within a drill is logged and never answered', () => {
    const run = replay(
      RUN,
      logOf([
        [0, START],
        [1000, give('tryptase', null)],
        [1000, give('constructor', null)],
        [600_000, { kind: 'run-ended', why: '' }],
      ]),
    );
    expect(results(run.derived)).toEqual([]);
    expect(run.view().results).toEqual([]);
    expect(run.view().doses.map((each) => each.intervention)).toContain('tryptase');
  });
});

describe('scores in the view', () => {
  it('fit the patient and agree with the whole scores', () => {
    const { run } = started(RUN);
    run.advanceTo(480_000);
    const { scores } = run.view();
    const whole = run.scores();
    expect(scores!.map((each) => each.id)).toEqual(['pews', 'shock-index']);
    const first = whole.scores[0]!;
    if (!first.ok) throw new Error(first.because);
    expect(scores![0]).toMatchObject({ total: first.total, band: first.band, outOf: 26 });
    expect(first.total).toBe(first.items.reduce((sum, each) => sum + each.points, 0));
    expect(first.total).toBeGreaterThan(4); // a child eight minutes into a severe reaction, untreated
  });
  it('an adult has NEWS2; on oxygen it counts', () => {
    const definition = definitionOf({
      ...REACTION.scenario,
      patient: { ...REACTION.scenario.patient, ageYears: 40, weightKg: 70 },
    });
    const { run, put } = started(definition);
    run.advanceTo(1000);
    put(give('oxygen', null));
    run.advanceTo(30_000);
    const news = run.scores().scores[0]!;
    if (!news.ok) throw new Error(news.because);
    expect(news.score).toBe('news2');
    expect(news.items.find((each) => each.id === 'oxygen')!.points).toBe(2);
  });
});
