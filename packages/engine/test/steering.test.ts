/**
 * Better, worse and held, on every shipped scenario, untreated and treated: the whole patient moves one way, findings
 * agree, and handing back jumps nowhere. What counts as noise and as a jump: chosen here.
 */
import fc from 'fast-check';
import { WORSE_ENDS_MINUTES } from '@breathline/patient';
import { describe, expect, it } from 'vitest';
import {
  replay,
  suggestForRun,
  type EventBody,
  type RunDefinition,
  type Simulation,
  type TrackRow,
} from '../src/index.ts';
import { give, REACTION } from './fixtures.ts';
import { started } from './helpers.ts';
import { SHIPPED } from './shipped.ts';

type Put = (body: EventBody) => void;

/** A run of a shipped scenario at `atMs`, alone or with its first rehearsal's acts until then. */
function begun(definition: RunDefinition, treated: boolean, atMs: number): { run: Simulation; put: Put } {
  const { run, put } = started(definition);
  for (const { atMs: when, action } of treated ? definition.scenario.rehearsals[0]!.acts : []) {
    if (when > atMs || action.kind !== 'give') continue;
    run.advanceTo(Math.round(when / 100) * 100);
    put(give(action.intervention, suggestForRun(definition, action.intervention)?.amount ?? null));
  }
  run.advanceTo(atMs);
  return { run, put };
}

const badness = ({ signs }: TrackRow, of: readonly (keyof TrackRow['signs'])[]): number =>
  of.reduce((sum, sign) => sum + signs[sign], 0);
const BREATHING = ['work-of-breathing', 'fatigue', 'silent-chest', 'apnoea', 'stridor', 'wheeze'] as const;
const BLOOD = ['poor-perfusion', 'cyanosis', 'drowsiness', 'cannot-talk'] as const;

const cases = SHIPPED.flatMap((definition) => [false, true].map((treated) => ({ definition, treated })));
const name = ({ definition, treated }: (typeof cases)[number]): string =>
  `${definition.scenario.id}, ${treated ? 'treated' : 'untreated'}`;

describe.each(cases.map((one) => ({ ...one, name: name(one) })))('$name', ({ definition, treated }) => {
  it('better: saturation, work of breathing, perfusion and consciousness all move the good way', () => {
    for (const [pace, minutes] of [
      ['fast', 3],
      ['slow', 8],
    ] as const) {
      const { run, put } = begun(definition, treated, 150_000);
      const before = run.trackRow();
      put({ kind: 'course-steered', direction: 'better', pace });
      run.advanceTo(150_000 + minutes * 60_000);
      const after = run.trackRow();
      // A calmer patient breathes less and may lose the last per cent.
      expect(after.true.spo2Percent).toBeGreaterThan(Math.min(before.true.spo2Percent, 96) - 0.5);
      expect(after.true.spo2Percent).toBeGreaterThan(88);
      expect(after.signs['work-of-breathing']).toBe(0);
      expect(after.signs.fatigue).toBe(0);
      expect(after.true.perfusionFraction).toBeGreaterThan(Math.min(before.true.perfusionFraction - 0.02, 0.85));
      expect(after.true.consciousnessFraction).toBeGreaterThan(0.95);
      expect(badness(after, BREATHING)).toBeLessThanOrEqual(badness(before, BREATHING));
      expect(badness(after, BLOOD)).toBeLessThanOrEqual(badness(before, BLOOD));
      expect(after.true.arrested).toBe(0);
    }
  });

  it('worse: they all move the bad way', () => {
    const { run, put } = begun(definition, treated, 150_000);
    const before = run.trackRow();
    put({ kind: 'course-steered', direction: 'worse', pace: 'fast' });
    run.advanceTo(240_000);
    const after = run.trackRow();
    expect(after.true.spo2Percent).toBeLessThan(Math.max(before.true.spo2Percent - 2, 20));
    expect(after.true.perfusionFraction).toBeLessThan(Math.max(before.true.perfusionFraction - 0.05, 0.05));
    expect(after.true.consciousnessFraction).toBeLessThan(Math.max(before.true.consciousnessFraction - 0.1, 0.05));
    // Somebody dying makes less effort.
    if (after.true.consciousnessFraction > 0.4) {
      expect(badness(after, BREATHING)).toBeGreaterThanOrEqual(badness(before, BREATHING));
    }
    expect(badness(after, BLOOD)).toBeGreaterThan(Math.min(badness(before, BLOOD), 13));
  });

  it('held: vitals and signs stay for five minutes, and nothing jumps when handed back', () => {
    const { run, put } = begun(definition, treated, 150_000);
    const before = run.trackRow();
    const findings = run.view().findings;
    put({ kind: 'course-steered', direction: 'hold', pace: 'slow' });
    run.advanceTo(450_000);
    const after = run.trackRow();
    expect(after.true).toEqual(before.true);
    expect(after.signs).toEqual(before.signs);
    if (JSON.stringify(after.states) === JSON.stringify(before.states)) expect(run.view().findings).toEqual(findings);
  });

  it('handed back: no vital jumps, from better, worse or a hold on the way', () => {
    for (const direction of ['better', 'worse', 'hold'] as const) {
      const { run, put } = begun(definition, treated, 150_000);
      put({ kind: 'course-steered', direction, pace: 'slow' });
      run.advanceTo(270_000);
      put({ kind: 'course-released' });
      let last = run.trackRow().true;
      for (let second = 271_000; second <= 300_000; second += 1000) {
        run.advanceTo(second);
        const now = run.trackRow();
        // A pause in breathing, or a state entered with a drive at once, is the illness's own.
        if (now.signs.apnoea > 0 || now.signs.arrest > 0 || last.respiratoryRatePerMin === 0) break;
        for (const [vital, most] of MOST_A_SECOND) {
          const moved = Math.abs(now.true[vital] - last[vital]);
          expect(moved, `${direction}: ${vital} at ${second / 1000} s`).toBeLessThanOrEqual(most);
        }
        last = now.true;
      }
    }
  });
});

describe('worse, kept on, against every treatment', () => {
  /** Well treated: three doses of adrenaline, oxygen, two minutes for them to work. */
  function treatedWell(definition: RunDefinition): ReturnType<typeof started> {
    const { run, put } = started(definition);
    run.advanceTo(60_000);
    const amount = suggestForRun(definition, 'adrenaline-im')?.amount ?? 300;
    for (let dose = 0; dose < 3; dose++) put(give('adrenaline-im', amount));
    put(give('oxygen-non-rebreathe-mask', 15));
    run.advanceTo(180_000);
    return { run, put };
  }

  it.each(SHIPPED.map((definition) => ({ definition, name: definition.scenario.id })))(
    '$name: the arrest is asked about within WORSE_ENDS_MINUTES, lungs and circulation first',
    ({ definition }) => {
      for (const pace of ['fast', 'slow'] as const) {
        const { run, put } = treatedWell(definition);
        const before = run.trackRow().true;
        put({ kind: 'course-steered', direction: 'worse', pace });
        let least = before.spo2Percent;
        const latest = run.clockMs + WORSE_ENDS_MINUTES[pace] * 60_000;
        const there = (): boolean => run.view().live!.arrest === 'asked' || run.trackRow().true.arrested >= 0.5;
        while (!there() && run.clockMs < latest) {
          run.advanceTo(run.clockMs + 5_000);
          least = Math.min(least, run.trackRow().true.spo2Percent);
        }
        expect(there(), `${pace}: at the brink by ${latest / 1000} s`).toBe(true);
        expect(least).toBeLessThan(Math.min(before.spo2Percent - 4, 92));
      }
    },
  );

  it('held at the brink it asks no second time while worse stays on; handed back, what was given works again', () => {
    const { run, put } = treatedWell(REACTION);
    put({ kind: 'course-steered', direction: 'worse', pace: 'fast' });
    while (run.view().live!.arrest !== 'asked' && run.clockMs < 600_000) run.advanceTo(run.clockMs + 1_000);
    put({ kind: 'arrest-decided', allow: false });
    const asked = run.derived.filter((fact) => fact.kind === 'arrest-asked').length;
    run.advanceTo(run.clockMs + 180_000);
    expect(run.view().live!.arrest).toBe('refused');
    expect(run.derived.filter((fact) => fact.kind === 'arrest-asked')).toHaveLength(asked);
    put({ kind: 'course-released' });
    run.advanceTo(run.clockMs + 6 * 60_000);
    expect(run.view().live!.arrest).toBe('not-asked');
    expect(run.view().trueVitals.systolicMmHg).toBeGreaterThan(70);
    expect(run.view().trueVitals.spo2Percent).toBeGreaterThan(90);
  });
});

/** A second at most. */
const MOST_A_SECOND = [
  ['spo2Percent', 1.5],
  ['heartRatePerMin', 6],
  ['systolicMmHg', 4],
  ['respiratoryRatePerMin', 4],
  ['etco2MmHg', 3],
  ['consciousnessFraction', 0.1],
  ['perfusionFraction', 0.06],
] as const;

describe('steering', () => {
  it('what states drive meanwhile counts once handed back', () => {
    const definition: RunDefinition = {
      ...REACTION,
      scenario: {
        ...REACTION.scenario,
        arrest: 'as-model',
        patient: { ...REACTION.scenario.patient, illness: [] },
        threads: [
          {
            id: 't',
            title: 't',
            start: 'on',
            states: [
              {
                ...REACTION.scenario.threads[0]!.states[0]!,
                id: 'on',
                cues: [],
                transitions: [],
                drives: [{ kind: 'drive', drive: 'bronchospasm', to: 0.8, overMs: 0 }],
              },
              {
                ...REACTION.scenario.threads[0]!.states[0]!,
                id: 'off',
                cues: [],
                transitions: [],
                drives: [{ kind: 'drive', drive: 'bronchospasm', to: 0.1, overMs: 0 }],
              },
            ],
          },
        ],
      },
    };
    const { run, put } = started(definition);
    run.advanceTo(240_000);
    put({ kind: 'course-steered', direction: 'worse', pace: 'slow' });
    run.advanceTo(270_000);
    put({ kind: 'state-forced', thread: 't', state: 'off' });
    put({ kind: 'course-released' });
    run.advanceTo(1_200_000);
    expect(run.view().trueVitals.bronchospasmFraction).toBeCloseTo(0.1, 1);
    expect(run.view().live!.course).toBeNull();
  });

  it('says so to whoever asks why', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(60_000);
    const plain = run.explain('spo2Percent').text;
    put({ kind: 'course-steered', direction: 'better', pace: 'fast' });
    run.advanceTo(105_000);
    expect(run.explain('spo2Percent').text).toContain('Steered by faculty: the illness is felt 50 % less');
    put({ kind: 'course-steered', direction: 'hold', pace: 'fast' });
    expect(run.explain('spo2Percent').text).toContain('Held by faculty');
    put({ kind: 'course-released' });
    run.advanceTo(600_000);
    expect(plain).not.toContain('faculty');
    expect(run.explain('spo2Percent').text).not.toContain('Steered');
  });

  it('leaves no trace in a patient it was never used on, and none for good in one it was', () => {
    const { run, put } = started(REACTION);
    run.advanceTo(10_000);
    put({ kind: 'course-released' });
    const { run: plain } = started(REACTION);
    plain.advanceTo(10_000);
    expect(run.hash()).toBe(plain.hash());
  });

  it('something that helps or harms is felt by some tenth, for some five minutes, and is scored as nothing', () => {
    const effectOf = (effect: 'none' | 'helps' | 'harms', atMs: number): number => {
      const { run, put } = started(REACTION);
      run.advanceTo(120_000);
      put({ kind: 'other-action', text: 'open the window', effect });
      run.advanceTo(atMs);
      expect(run.view().doses).toEqual([]);
      return run.view().trueVitals.bronchospasmFraction;
    };
    const plain = effectOf('none', 300_000);
    expect(effectOf('helps', 300_000) / plain).toBeGreaterThan(0.75);
    expect(effectOf('helps', 300_000) / plain).toBeLessThan(0.97);
    expect(effectOf('harms', 300_000)).toBeGreaterThan(plain);
  });

  it('brings the circulation back in an arrest, if asked for better', () => {
    const { run, put } = started(REACTION);
    put({ kind: 'arrest-decided', allow: true });
    while (run.view().trueVitals.arrested < 0.5 && run.clockMs < 1_800_000) run.advanceTo(run.clockMs + 1000);
    expect(run.view().trueVitals.arrested).toBe(1);
    put({ kind: 'course-steered', direction: 'better', pace: 'fast' });
    run.advanceTo(run.clockMs + 240_000);
    expect(run.view().trueVitals.arrested).toBe(0);
    expect(run.view().trueVitals.spo2Percent).toBeGreaterThan(90);
  });

  it('replays to the last bit, and undo takes it away, whatever is steered when', () => {
    const act = fc.constantFrom<EventBody>(
      { kind: 'course-steered', direction: 'better', pace: 'fast' },
      { kind: 'course-steered', direction: 'worse', pace: 'slow' },
      { kind: 'course-steered', direction: 'hold', pace: 'slow' },
      { kind: 'course-released' },
      { kind: 'other-action', text: 'x', effect: 'helps' },
      give('adrenaline-im', 300, 'micrograms'),
    );
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.integer({ min: 0, max: 300 }), act), { maxLength: 6 }), (acts) => {
        const { run, put } = started(REACTION);
        const seqs: number[] = [];
        for (const [second, body] of [...acts].sort((a, b) => a[0] - b[0])) {
          run.advanceTo(second * 1000);
          seqs.push(put(body));
        }
        run.advanceTo(400_000);
        expect(replay(REACTION, run.events, { untilMs: 400_000 }).hash()).toBe(run.hash());
        for (const vital of Object.values(run.view().trueVitals)) expect(Number.isFinite(vital)).toBe(true);
        for (const seq of seqs) put({ kind: 'event-withdrawn', targetSeq: seq });
        const { run: plain } = started(REACTION);
        plain.advanceTo(400_000);
        expect(run.hash()).toBe(plain.hash());
      }),
      { numRuns: 25 },
    );
  });
});
