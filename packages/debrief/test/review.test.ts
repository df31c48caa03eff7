/** What the debrief looks at beyond the targets: every figure here is worked by hand from the lines above it. */
import { readFileSync, readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { RunExport } from '@breathline/engine';
import { buildLibrary } from '@breathline/scenario';
import {
  PUBLISHED_ARMS,
  buildTimeline,
  dangerLines,
  packDifferences,
  packNames,
  reviewRun,
  scoreRun,
  weightSensitivity,
} from '../src/index.ts';
import {
  FIRST_ADRENALINE,
  INTERVENTIONS,
  LOW_PRESSURE,
  ORDER,
  UNCHECKED,
  build,
  end,
  give,
  pack,
  s,
  target,
  track,
  type Line,
} from './build-run.ts';

/** A run of these lines; `track` in place of the usual one, a pack and an age of its own. */
const run = (
  lines: readonly Line[],
  options: {
    readonly track?: ReturnType<typeof track>;
    readonly packs?: readonly [ReturnType<typeof pack>];
    readonly patient?: RunExport['definition']['patient'];
  } = {},
): RunExport => {
  const made = build({ lines, ...(options.packs ? { pack: options.packs[0] } : {}) });
  return {
    ...made,
    ...(options.track ? { track: options.track } : {}),
    definition: { ...made.definition, ...(options.patient ? { patient: options.patient } : {}) },
  };
};
const look = (at: number): Line => ({ kind: 'assessment', intervention: 'look-again', at });
const oximeterFrom =
  (from: number, spo2Percent = 95) =>
  (atMs: number) =>
    atMs >= from ? { shown: { spo2Percent, attached: ['oximeter' as const] } } : {};

describe('reassessment loops', () => {
  it('one letter looked at is no look again, and the line says which it was', () => {
    const part: Line = { kind: 'assessment', intervention: 'look-breathing', at: s(120) };
    const { loops } = reviewRun(run([give(s(60), 'adrenaline-im'), part, end(s(900))]));
    expect(loops[0]).toMatchObject({ lookedAtMs: null, closed: false });
    expect(loops[0]!.missing).toContain('only breathing was looked at again');
  });

  it('closes when looked, shown, said and decided within five minutes', () => {
    const { loops } = reviewRun(
      run(
        [
          give(s(60), 'adrenaline-im', { amount: 300, unit: 'micrograms' }),
          look(s(150)),
          { kind: 'conclusion-spoken', says: 'same', at: s(160) },
          give(s(200), 'fluid-bolus', { amount: 230, unit: 'mL' }),
          end(s(900)),
        ],
        { track: track(s(900), oximeterFrom(s(30))) },
      ),
    );
    expect(loops[0]).toMatchObject({
      atMs: s(60),
      what: 'Adrenaline IM',
      lookedAtMs: s(150),
      vitalAtMs: s(61),
      saidAtMs: s(160),
      said: 'same',
      nextAtMs: s(200),
      closed: true,
      missing: [],
    });
    expect(loops[1]).toMatchObject({ atMs: s(200), closed: false, cutShort: false });
    expect(loops[1]!.missing).toContain('no look at the patient was logged');
    expect(loops.map(({ lookedInPart }) => lookedInPart)).toEqual([null, null]);
  });

  it('names each step that is open, and a bundle is one loop', () => {
    const { loops } = reviewRun(
      run([give(s(60), 'adrenaline-im'), give(s(100), 'salbutamol-neb'), look(s(290)), end(s(900))], {
        track: track(s(900)),
      }),
    );
    expect(loops).toHaveLength(1);
    expect(loops[0]!.what).toBe('Adrenaline IM + Salbutamol nebulised');
    expect(loops[0]!.missing).toEqual([
      'no fresh vital was shown',
      'no conclusion was logged',
      'no decision was logged after it',
    ]);
  });

  it('a look after five minutes is too late, and a run that ends first leaves the loop cut short', () => {
    const late = reviewRun(run([give(s(60), 'adrenaline-im'), look(s(361)), end(s(900))]));
    expect(late.loops[0]!.lookedAtMs).toBeNull();
    const intime = reviewRun(run([give(s(60), 'adrenaline-im'), look(s(360)), end(s(900))]));
    expect(intime.loops[0]!.lookedAtMs).toBe(s(360));
    const short = reviewRun(run([give(s(60), 'adrenaline-im'), end(s(120))]));
    expect(short.loops[0]).toMatchObject({ cutShort: true, closed: false });
    expect(late.loops[0]!.lookedInPart).toBeNull();
  });

  it('an old cuff reading is not a fresh vital', () => {
    const cuff = (takenAtMs: number) => () => ({
      shown: { bloodPressure: { systolicMmHg: 80, diastolicMmHg: 50, meanMmHg: 60, takenAtMs } },
    });
    const lines = [give(s(60), 'adrenaline-im'), look(s(100)), end(s(900))];
    expect(reviewRun(run(lines, { track: track(s(900), cuff(s(50))) })).loops[0]!.vitalAtMs).toBeNull();
    expect(reviewRun(run(lines, { track: track(s(900), cuff(s(61))) })).loops[0]!.vitalAtMs).not.toBeNull();
  });
});

it('preparation lag: said, drawn up and given, each dose with its own words', () => {
  const { lags } = reviewRun(
    run([
      give(s(30), 'adrenaline-im', { step: 'said' }),
      give(s(75), 'adrenaline-im', { step: 'drawn-up' }),
      give(s(90), 'adrenaline-im'),
      give(s(380), 'adrenaline-im', { step: 'drawn-up' }),
      give(s(400), 'adrenaline-im'),
      give(s(500), 'fluid-bolus'),
      end(s(900)),
    ]),
  );
  expect(lags.map(({ saidToGivenMs, drawnUpToGivenMs }) => [saidToGivenMs, drawnUpToGivenMs])).toEqual([
    [s(60), s(15)],
    [null, s(20)],
  ]);
});

/** BTS guideline for oxygen use, Thorax 2017;72(Suppl 1):i1-i90: 88 to 92 % where carbon dioxide may be retained. */
const CONTROLLED = { lowPercent: 88, highPercent: 92, aboveIsDanger: true, source: FIRST_ADRENALINE.source };

it('oxygen: five minutes are left out, then each second falls into one of three', () => {
  const at = (atMs: number) => ({
    vitals: { fio2Fraction: atMs >= s(60) ? 0.8 : 0.21 },
    shown: { spo2Percent: atMs < s(420) ? 100 : atMs < s(480) ? 96 : 91, attached: ['oximeter' as const] },
  });
  // On from 60 s; counted from 360 s: above until 420, within until 480, below until the end at 500.
  const { oxygen } = reviewRun(run([give(s(60), 'oxygen-nrb'), end(s(500))], { track: track(s(500), at) }));
  expect(oxygen).toMatchObject({
    lowPercent: 94,
    highPercent: 98,
    aboveMs: s(60),
    withinMs: s(60),
    belowMs: s(20),
    unseenMs: 0,
  });
  const copd = reviewRun(
    run([end(s(500))], {
      track: track(s(500), at),
      packs: [pack({ oxygenRange: CONTROLLED, title: 'A pack whose name says nothing' })],
    }),
  );
  expect(copd.oxygen).toMatchObject({ lowPercent: 88, highPercent: 92, withinMs: s(20), aboveMs: s(120) });
  expect(reviewRun(run([end(s(500))])).oxygen).toBeNull();
  // On oxygen from 60 s to 500 s with no oximeter: 140 s after the first five minutes that nobody could steer.
  const blind = (t: number) => ({ vitals: { fio2Fraction: t >= s(60) ? 0.8 : 0.21 } });
  expect(
    reviewRun(run([give(s(60), 'oxygen-nrb'), end(s(500))], { track: track(s(500), blind) })).oxygen?.text,
  ).toMatch(/^No saturation was shown in the 2 min 20 s of oxygen after/);
  // A guideline that names no range judges none, whatever its title.
  const { oxygenRange: _none, ...silent } = pack({ title: 'COPD', condition: 'hypercapnic failure' });
  expect(reviewRun(run([end(s(500))], { track: track(s(500), at), packs: [silent] })).oxygen).toBeNull();
});

it('danger: below the range and, on added oxygen only, above it where carbon dioxide may be retained', () => {
  const at = (atMs: number) => ({
    vitals: {
      // 87 % for 20 s, 89 % for 40 s, 96 % in air for 30 s, then 96 % on oxygen for 100 s.
      spo2Percent: atMs < s(20) ? 87 : atMs < s(60) ? 89 : 96,
      fio2Fraction: atMs < s(90) ? 0.21 : 0.6,
    },
  });
  const made = run([end(s(190))], { track: track(s(190), at), packs: [pack({ oxygenRange: CONTROLLED })] });
  const card = scoreRun(made);
  expect(card.danger).toMatchObject({
    below90PercentMs: s(60),
    saturation: { belowPercent: 88, belowMs: s(20), abovePercent: 92, aboveMs: s(100) },
  });
  expect(dangerLines(card.danger).map(({ says, ms }) => [says, ms])).toEqual([
    ['Saturation below 88 %, where this patient’s range begins', s(20)],
    ['Saturation above 92 % on oxygen: too much for this patient', s(100)],
    ['Systolic below 84 mmHg (low for age)', 0],
    ['No output (arrest)', 0],
  ]);
  const spo2 = buildTimeline(made, card).panels.find(({ id }) => id === 'spo2');
  expect(spo2).toMatchObject({ limit: { value: 88 }, upperLimit: { value: 92 }, range: { low: 88, high: 92 } });
  const usual = scoreRun(run([end(s(190))], { track: track(s(190), at) }));
  expect(usual.danger.saturation).toEqual({ belowPercent: 90, belowMs: s(60), abovePercent: null, aboveMs: 0 });
});

it('harm: each once when it begins, standing only while the pressure is low', () => {
  const at = (atMs: number) => ({
    vitals: {
      systolicMmHg: atMs < s(200) ? 60 : atMs < s(300) ? 210 : 104,
      rhythm: atMs >= s(250) && atMs < s(260) ? 4 : 0,
      arrested: atMs >= s(400) && atMs < s(460) ? 1 : 0,
    },
  });
  const { harm } = reviewRun(
    run([give(s(100), 'stand-up'), give(s(350), 'stand-up'), end(s(500))], { track: track(s(500), at) }),
  );
  expect(harm.map(({ kind, atMs }) => [kind, atMs])).toEqual([
    ['stood-in-shock', s(100)],
    ['very-high-pressure', s(200)],
    ['unsafe-rhythm', s(250)],
    ['arrest', s(400)],
  ]);
});

it('harm: a tenfold dose is named with its words', () => {
  const { harm } = reviewRun(
    run([give(s(60), 'adrenaline-im', { amount: 3000, unit: 'micrograms', doseSeen: true }), end(s(500))]),
  );
  expect(harm[0]).toMatchObject({ kind: 'wrong-dose', atMs: s(60) });
  expect(harm[0]!.text).toMatch(/ten times/i);
});

describe('weights', () => {
  const line = (id: string, weight: number, credit: number | null) => ({ target: target({ id, weight }), credit });

  it('worked by hand: weights 1 and 3, credits 1 and 0 give 25 %, 14 % to 40 %', () => {
    // Halve the first: 0.5/3.5. Double it: 2/5. Halve the second: 1/2.5 = 40 %. Double it: 1/7.
    const found = weightSensitivity([line('a', 1, 1), line('b', 3, 0), line('c', 9, null)])!;
    expect(found.fraction).toBeCloseTo(0.25, 12);
    expect(found.low).toBeCloseTo(1 / 7, 12);
    expect(found.high).toBeCloseTo(0.4, 12);
    expect(weightSensitivity([line('c', 9, null)])).toBeNull();
    expect(weightSensitivity([line('a', 1, 1), line('b', 2, 1)])!.mostBy).toBeNull();
  });
});

describe('judging otherwise', () => {
  const lines: Line[] = [
    give(s(600), 'adrenaline-im', { amount: 300, unit: 'micrograms', doseSeen: true }),
    end(s(900)),
  ];
  const wheezy = track(s(900), () => ({ signs: { wheeze: 2 } }));
  const adjust = (part: Partial<Extract<Line, { kind: 'line-adjusted' }>> = {}): Line => ({
    kind: 'line-adjusted',
    target: FIRST_ADRENALINE.id,
    result: 'met',
    reason: 'The injector jammed; seen by two of us.',
    at: s(900),
    ...part,
  });

  it('keeps both values and both numbers, and the reason', () => {
    const card = scoreRun(run([...lines, adjust()], { track: wheezy }));
    expect(card.results[0]).toMatchObject({
      result: 'late',
      credit: 0,
      adjusted: { result: 'met', reason: 'The injector jammed; seen by two of us.', credit: 1 },
    });
    expect(card.score.fraction).toBe(0);
    expect(card.adjustedScore!.fraction).toBe(1);
    expect(card.criticalFailures).toHaveLength(1);
  });

  it('needs a reason and a word it knows; an undo takes it back', () => {
    for (const one of [adjust({ reason: '  ' }), adjust({ result: 'splendid' }), adjust({ result: 'constructor' })]) {
      const card = scoreRun(run([...lines, one], { track: wheezy }));
      expect(card.results[0]!.adjusted).toBeUndefined();
      expect(card.adjustedScore).toBeUndefined();
    }
    const undone = scoreRun(
      run([...lines, adjust(), { kind: 'event-withdrawn', targetSeq: 4, at: s(900) }], { track: wheezy }),
    );
    expect(undone.results[0]!.adjusted).toBeUndefined();
  });
});

describe('after the emergency', () => {
  const strata = pack({
    observation: [
      { id: 'one', says: 'after one dose', hours: 2, from: 'resolution', source: UNCHECKED },
      {
        id: 'two',
        says: 'after two doses',
        hours: 6,
        from: 'resolution',
        when: { kind: 'given', interventions: ['adrenaline-im'], times: 2, minDoseShare: 0 },
        source: UNCHECKED,
      },
      { id: 'shock', says: 'after shock', hours: 12, from: 'onset', when: LOW_PRESSURE, source: UNCHECKED },
    ],
  });
  const chosen = (hours: number): Line => ({ kind: 'observation-chosen', hours, from: 'resolution', at: s(900) });
  const observed = (lines: Line[], systolicMmHg = 104) =>
    reviewRun(
      run([...lines], { packs: [strata], track: track(s(900), () => ({ vitals: { systolicMmHg } })) }),
    ).aftercare.find(({ id }) => id === 'observation')!;

  it('the longest rule that applied counts, and too few hours are below it', () => {
    const one = [give(s(60), 'adrenaline-im')];
    const two = [...one, give(s(400), 'adrenaline-im')];
    expect(observed([...one, end(s(900)), chosen(2)])).toMatchObject({ result: 'done' });
    expect(observed([...two, end(s(900)), chosen(2)])).toMatchObject({ result: 'below' });
    expect(observed([...two, end(s(900)), chosen(6)])).toMatchObject({ result: 'done' });
    expect(observed([...two, end(s(900)), chosen(6)], 60)).toMatchObject({ result: 'below' });
    expect(observed([...one, end(s(900))])).toMatchObject({ result: 'not-recorded' });
  });

  it('handover: the parts not heard are named', () => {
    const handover = (
      parts: Partial<Extract<Line, { kind: 'handover' }>['parts']>,
      readBack: 'full' | 'none',
    ): Line => ({
      kind: 'handover',
      to: 'the ward',
      parts: { situation: true, background: true, assessment: true, recommendation: true, ...parts },
      readBack,
      at: s(800),
    });
    const of = (lines: Line[]) => reviewRun(run([...lines, end(s(900))])).aftercare[0]!;
    expect(of([handover({}, 'full')])).toMatchObject({ id: 'handover', result: 'done' });
    expect(of([handover({ background: false }, 'none')])).toMatchObject({
      result: 'in-part',
      text: 'Not heard: background and a read-back.',
    });
    expect(of([])).toMatchObject({ result: 'not-recorded' });
  });
});

describe('beside published series', () => {
  // 25 of 37 simulations with at least one medication error (Maa et al. 2020, abstract).
  it('error rate: theirs, and how many judged doses were wrong here; nothing for an adult', () => {
    const said = (amount: number, doseSeen = true) =>
      reviewRun(run([give(s(120), 'adrenaline-im', { amount, unit: 'micrograms', doseSeen }), end(s(600))]))
        .errorsBeside;
    expect(said(3000)).toContain('25 of 37');
    expect(said(3000)).toContain('1 of 1 dose judged was wrong');
    expect(said(300)).toContain('0 of 1 dose judged were wrong');
    expect(said(300, false)).toContain('no dose could be judged; 1 given with the volume and strength not seen');
    expect(
      reviewRun(run([end(s(600))], { patient: { ageYears: 40, weightKg: 80, sex: 'female' } as never })).errorsBeside,
    ).toBeNull();
  });

  // Figures of Maa et al. 2020 (abstract): injector 95 s (77-252), n = 5; drawn up 263 s (146-407.5).
  it('carries the published medians and quartiles', () => {
    expect(
      PUBLISHED_ARMS.map(({ medianMs, lowerQuartileMs, upperQuartileMs }) => [
        medianMs,
        lowerQuartileMs,
        upperQuartileMs,
      ]),
    ).toEqual([
      [95_000, 77_000, 252_000],
      [263_000, 146_000, 407_500],
      [177_000, 150_000, 220_000],
    ]);
  });

  it('says where a run falls, how few they were, and no percentile', () => {
    const at = (seconds: number) =>
      reviewRun(run([give(s(seconds), 'adrenaline-im'), end(s(900))])).comparisons.find(
        ({ id }) => id === 'maa-2020-drawn-up',
      )!;
    expect(at(100).place).toBe('before-lower-quartile');
    expect(at(200).place).toBe('between-quartiles');
    expect(at(408).place).toBe('after-upper-quartile');
    expect(at(200).text).not.toMatch(/percentile/i);
    expect(at(200).text).toContain('n = 32 at most');
    const none = reviewRun(run([end(s(900))])).comparisons;
    expect(none.every(({ place, runMs }) => place === 'not-given' && runMs === null)).toBe(true);
    expect(none.find(({ n }) => n === 5)!.text).toContain('So few simulations say very little.');
  });

  it('sets no wrong dose beside them, and says why; the first sound one takes its place', () => {
    const drawn = (lines: Parameters<typeof run>[0]) =>
      reviewRun(run(lines)).comparisons.find(({ id }) => id === 'maa-2020-drawn-up')!;
    const tenfold = give(s(100), 'adrenaline-im', { amount: 3000, volumeMl: 3 });
    const alone = drawn([tenfold, end(s(900))]);
    expect(alone).toMatchObject({ place: 'not-given', runMs: null, notCounted: { runMs: s(100) } });
    expect(alone.text).toMatch(/^The adrenaline at 1 min 40 s is not counted: .*ten times the dose/);
    expect(alone.text).not.toMatch(/sooner/);
    const then = drawn([tenfold, give(s(300), 'adrenaline-im'), end(s(900))]);
    expect(then).toMatchObject({ place: 'between-quartiles', runMs: s(300), notCounted: { runMs: s(100) } });
    const vein = drawn([give(s(100), 'adrenaline-im', { route: 'iv' }), end(s(900))]);
    expect(vein).toMatchObject({ place: 'not-given', runMs: null });
    expect(vein.text).toMatch(/given IV/);
    expect(drawn([give(s(100), 'adrenaline-im'), end(s(900))]).notCounted).toBeUndefined();
  });

  it('is silent for an adult and where no adrenaline is asked for', () => {
    const lines = [give(s(100), 'adrenaline-im'), end(s(900))];
    expect(reviewRun(run(lines, { patient: { ageYears: 40 } })).comparisons).toEqual([]);
    expect(reviewRun(run(lines, { packs: [pack({ targets: [target({ id: 'oxygen-nrb' })] })] })).comparisons).toEqual(
      [],
    );
  });
});

describe('two packs side by side', () => {
  const names = { nameOf: (id: string) => id, unitOf: () => 'micrograms', ratePerOf: () => undefined };

  it('equal packs do not differ; one changed dose is one difference', () => {
    const mine = pack({ id: 'mine', targets: [FIRST_ADRENALINE, ORDER] });
    expect(packDifferences(mine, pack({ targets: [FIRST_ADRENALINE, ORDER] }), names)).toEqual([]);
    const [rule] = mine.doses;
    const other = pack({
      targets: [FIRST_ADRENALINE, ORDER],
      doses: [{ ...rule!, bands: rule!.bands!.map((band) => ({ ...band, amount: band.amount * 2 })) }],
    });
    const found = packDifferences(mine, other, names);
    expect(found).toHaveLength(1);
    expect(found[0]).toMatchObject({ part: 'dose', about: 'adrenaline-im' });
    expect(found[0]!.a).toContain('150 micrograms');
    expect(found[0]!.b).toContain('300 micrograms');
  });

  it('the shipped anaphylaxis packs disagree where the published guidelines do', () => {
    const folder = new URL('../../../scenarios/', import.meta.url).pathname;
    const texts = (name: string) =>
      readdirSync(`${folder}${name}`)
        .filter((file) => file.endsWith('.yaml'))
        .map((file) => ({ file, text: readFileSync(`${folder}${name}/${file}`, 'utf8') }));
    const library = buildLibrary({ formularies: texts('formulary'), packs: texts('guidelines') });
    if (!library.ok) throw new Error('the shipped library does not build');
    const one = (id: string) => library.value.packs.find((each) => each.id === id)!;
    const items = new Map(library.value.interventions.map((item) => [item.id, item]));
    const differences = packDifferences(
      one('anaphylaxis-uk-2021'),
      one('anaphylaxis-ascia-2024'),
      packNames(library.value),
    );
    const about = (id: string) => differences.find((each) => each.about === items.get(id)!.name);
    // Age bands against 10 micrograms for each kg (UK 2021 dose table; ASCIA acute management guideline).
    expect(about('adrenaline-im')!.a).toContain('300 micrograms');
    expect(about('adrenaline-im')!.b).toContain('for each kg');
    // Bolus 10 mL/kg against 20 mL/kg in a child.
    expect(about('crystalloid-bolus')).toBeDefined();
    // 2, 6 and 12 hours from resolution against 4 hours from the last dose.
    const watch = differences.find(({ part }) => part === 'observation')!;
    expect(watch.a).toContain('6 hours from resolution');
    expect(watch.b).toContain('4 hours from last dose');
  });

  it('lists every intervention the tests build on', () => {
    expect(INTERVENTIONS.length).toBeGreaterThan(5);
  });
});

describe('takes and undo', () => {
  it('observers’ ticks: the last standing tick of each seat counts', () => {
    const tick = (seen: 'seen' | 'not-seen', at: number): Line => ({
      kind: 'behaviour-ticked',
      behaviour: 'closed-loop',
      seen,
      at,
    });
    const made = (lines: readonly Line[]): RunExport => {
      const whole = run(lines);
      const scenario = {
        ...whole.definition.scenario,
        behaviours: [{ id: 'closed-loop', says: 'Repeats orders back' }],
      };
      return { ...whole, definition: { ...whole.definition, scenario } };
    };
    // One seat here: its second tick stands, unless it is taken back.
    expect(reviewRun(made([tick('not-seen', s(60)), tick('seen', s(90)), end(s(200))])).teamwork).toEqual([
      { behaviour: 'closed-loop', says: 'Repeats orders back', seen: 1, partly: 0, notSeen: 0, ratings: [] },
    ]);
    const undone: Line = { kind: 'event-withdrawn', targetSeq: 3, at: s(100) };
    expect(
      reviewRun(made([tick('not-seen', s(60)), tick('seen', s(90)), undone, end(s(200))])).teamwork[0],
    ).toMatchObject({
      seen: 0,
      notSeen: 1,
    });
  });

  it('a wind-back goes on from its past: the first take’s dose counts in the second, what came after it does not', () => {
    const first = give(s(60), 'adrenaline-im');
    const lost = give(s(300), 'fluid-bolus');
    const wind: Line = { kind: 'wound-back', toMs: s(120), fromTake: 1, at: s(120), take: 2 };
    const whole = run([first, lost, wind, { ...look(s(200)), take: 2 }, { ...end(s(600)), take: 2 }]);
    const { loops } = reviewRun({ ...whole, scoredTake: 2 });
    expect(loops.map(({ what, lookedAtMs }) => [what, lookedAtMs])).toEqual([['Adrenaline IM', s(200)]]);
  });
});
