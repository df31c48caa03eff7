/** Laws of steering, holding back an arrest, breaths pushed in, arrest, two lungs, injectors and late or lasting medicines. */
import { below, holds, inside, near, type InnerApi, type Law } from './checks.ts';
import { begin, dose, drive, hands, mask, oxygen, run as runBy, type Plan } from './behaviours.ts';
import type { PatientInput, PatientProfile } from '../../packages/patient/src/index.ts';

const run = (api: InnerApi, who: PatientProfile, plan: Plan, minutes: number) => runBy(api, who, plan, minutes, 200);

const ADULT: PatientProfile = { ageYears: 30, weightKg: 70, sex: 'male' };
const SEVEN: PatientProfile = { ageYears: 7, weightKg: 23, sex: 'female' };
const ASTHMA: PatientProfile = { ...SEVEN, illness: [{ disease: 'asthma', pattern: 'acute-severe', startedMinutesAgo: 20 }] }; // prettier-ignore
const steer = (direction: 'better' | 'worse' | 'hold' | 'hand-back', pace: 'slow' | 'fast' = 'fast'): PatientInput => ({
  kind: 'steer',
  direction,
  pace,
});
const push = (share: number): PatientInput => ({ kind: 'push', share });
const mech = (api: InnerApi, s: Float64Array, id: string) =>
  s[api.SLOTS.MECH_BASE + (api.mechanisms.MECHANISMS as readonly string[]).indexOf(id)]!;

const steering: Law = {
  name: 'steering: speeds, pushes and handing back as documented; everything is felt in proportion',
  source: 'the description of core/steering.ts: 1.5 min fast, 6 slow, 4 back; a push at most 0.25 for 5 min',
  check(api) {
    const X = api.SLOTS;
    const share = (plan: Plan, minutes: number) => run(api, ADULT, plan, minutes).state[X.STEER_NET]!;
    near(share([[0, steer('better')]], 0.75), 0.5, 0.01, 'better, half of the fast time');
    near(share([[0, steer('worse')]], 0.75), -0.5, 0.01, 'worse, half of the fast time');
    near(share([[0, steer('better', 'slow')]], 3), 0.5, 0.01, 'better, half of the slow time');
    near(share([[0, steer('better')]], 3), 1, 0, 'and no further');
    near(share([[0, steer('better')], [2, steer('hand-back')]], 4), 0.5, 0.01, 'half-way back'); // prettier-ignore
    near(share([[0, steer('worse')], [1.5, steer('hand-back')]], 3.5), -0.5, 0.01, 'half-way back from worse'); // prettier-ignore
    near(share([[0, steer('worse')]], 2.25), -1.5, 0.01, 'past the worst, while it is kept on');
    near(share([[0, steer('worse')]], 4), -2, 0, 'and no further down');
    near(share([[0, steer('worse')], [4, steer('hand-back')]], 4.5), -1.5, 0.01, 'out of failing within a minute'); // prettier-ignore
    near(share([[0, steer('worse')], [4, steer('better')]], 5.75), -0.5, 0.01, 'and on at the pace of better'); // prettier-ignore
    near(run(api, ADULT, [[0, steer('worse')], [2, steer('hand-back')]], 7).state[X.STEER_ON]!, 0, 0, 'over'); // prettier-ignore
    near(share([[0, push(0.125)]], 2), 0.125, 0.001, 'a push');
    near(share([[0, push(-0.125)]], 2), -0.125, 0.001, 'a push the other way');
    near(share([[0, push(0.125)], [0.5, push(0.125)]], 3), 0.25, 0.001, 'two add up'); // prettier-ignore
    near(share([[0, push(-0.2)], [0.5, push(-0.2)]], 3), -0.25, 0.001, 'to no more than a quarter'); // prettier-ignore
    near(share([[0, push(0.125)]], 4.8), 0.125, 0.001, 'lasts');
    near(run(api, ADULT, [[0, push(0.125)]], 7).state[X.STEER_ON]!, 0, 0, 'and is over');
    near(share([[0, push(0.25)]], 0.5), 0.125, 0.01, 'not at once');
    // Drives, mechanisms and sided shunt are felt 1 - n; at the end of it drives are as they were set.
    const p = api.buildPatient(ADULT).p as Record<string, number>;
    const half: Plan = [[0, drive('shunt', 0.3)], [0, steer('better')]]; // prettier-ignore
    near(run(api, ADULT, half, 0.75).state[X.SHUNT]!, p['shunt0']! + 0.15, 0.003, 'shunt at half');
    const back = run(api, ADULT, [...half, [1, drive('dead-space', 0.1)], [2, steer('hand-back')]], 7).state;
    near(back[X.DRIVE_BASE + 4 * X.DRIVE_STRIDE]!, 0.3, 1e-9, 'a drive as set');
    near(back[X.DRIVE_BASE + 5 * X.DRIVE_STRIDE]!, 0.1, 1e-9, 'one set meanwhile');
    const lobar: PatientProfile = { ...ADULT, illness: [{ disease: 'pneumonia', pattern: 'left-lobar', startedMinutesAgo: 30 }] }; // prettier-ignore
    const own = run(api, lobar, [], 0.75).state;
    const eased = run(api, lobar, [[0, steer('better')]], 0.75).state;
    near(eased[X.SIDED_SHUNT]! / own[X.SIDED_SHUNT]!, 0.5, 0.01, 'a solid lobe at half');
    for (const id of ['fever', 'urge']) near(mech(api, eased, id) / mech(api, own, id), 0.5, 0.01, `${id} at half`);
    const blocked: PatientProfile = { ...ADULT, illness: [{ disease: 'foreign-body', pattern: 'laryngeal-partial' }] };
    below(run(api, blocked, [[0, steer('better')]], 1.4).state[X.R_UPPER]!, 0.5 * run(api, blocked, [], 1.4).state[X.R_UPPER]!, 'an object at little'); // prettier-ignore
    // The well made worse: failing lung, heart and vessels, and half awake at most.
    const worst = run(api, ADULT, [[0, steer('worse')]], 1.5);
    for (const [id, size] of [
      ['shunt', 0.26],
      ['stiffness', 1.1],
      ['lostGas', 0.1],
      ['urge', 0.25],
      ['weakness', 0.38],
      ['vasoplegia', 0.4],
      ['opioid', 0],
    ] as const)
      // prettier-ignore
      near(mech(api, worst.state, id), size, 0.01, `${id} at the worst`);
    inside(worst.last.consciousnessFraction, 0, 0.5, 'half awake');
    near(worst.state[X.MED]!, 0, 0, 'no reaction in somebody who has none');
    // Kept on, lungs, heart and vessels fail whatever was given, and the heart comes to a stop.
    const failing = run(api, ADULT, [[0, steer('worse')]], 2.25);
    for (const [id, size] of [
      ['shunt', 0.41],
      ['stiffness', 1.1],
      ['weakness', 0.58],
      ['vasoplegia', 0.55],
    ] as const)
      // prettier-ignore
      near(mech(api, failing.state, id), size, 0.01, `${id}, half-way failing`);
    inside(failing.last.consciousnessFraction, 0, 0.31, 'hardly awake');
    near(failing.state[X.DEBT]!, 0.6 * 0.75 * 0.25, 0.03, 'on the way to a stop');
    const drugged: Plan = [[0, dose('adrenaline', 'im', 500)], [0, mask], [3, steer('worse')]]; // prettier-ignore
    near(run(api, ADULT, drugged, 7).last.arrested, 1, 0, 'treated as well');
    const saved = run(api, ADULT, [[0, steer('worse')], [2.25, steer('hand-back')]], 3.25).state; // prettier-ignore
    below(saved[X.DEBT]!, 0.5 * failing.state[X.DEBT]!, 'it goes as it came');
    // A reaction goes to 1, 85 % of the way at -1; eased in proportion.
    const sting: PatientProfile = { ...ADULT, illness: [{ disease: 'anaphylaxis', pattern: 'venom' }] };
    const reacting: Plan = [[0, drive('mediators', 0.5, 1)]];
    const hard = run(api, sting, [...reacting, [4, steer('worse')]], 6).state;
    near(hard[X.MED]!, hard[X.MED_OWN]! + 0.85 * (1 - hard[X.MED_OWN]!), 0.005, 'mediators at the worst');
    const soft = run(api, sting, [...reacting, [4, steer('better')]], 4.75).state;
    near(soft[X.MED]! / soft[X.MED_OWN]!, 0.5, 0.02, 'mediators at half');
    near(run(api, sting, [...reacting, [4, steer('better')], [6, steer('hand-back')]], 11).state[X.MED_OWN]!, 0, 0, 'put back'); // prettier-ignore
    const weak: PatientProfile = {
      ...ADULT,
      illness: [{ disease: 'pneumonia', pattern: 'septic', startedMinutesAgo: 20 }],
    };
    const [one, more] = [run(api, weak, [], 2).state, run(api, weak, [[0, steer('worse')]], 2).state];
    near(mech(api, more, 'fever') / mech(api, one, 'fever'), 1.35, 0.01, 'own illness a third more at the worst');
    const heavy: PatientProfile = { ...ADULT, illness: [{ disease: 'opioid-toxicity', severity: 0.4, startedMinutesAgo: 10 }] }; // prettier-ignore
    const [drowsy, deep] = [run(api, heavy, [], 2).state, run(api, heavy, [[0, steer('worse')]], 2).state];
    const o = 1.35 * mech(api, drowsy, 'opioid');
    near(mech(api, deep, 'opioid'), o + 0.45 * (1 - o), 0.02, 'an opioid deeper');
    // Held, nothing moves but what is given in.
    const held = run(api, ASTHMA, [[1, steer('hold')]], 10);
    near(held.last.spo2Percent, held.at(1).spo2Percent, 0, 'held');
    const pause = run(api, { ageYears: 0.12, weightKg: 4.5, sex: 'male', illness: [{ disease: 'bronchiolitis', pattern: 'with-apnoea', startedMinutesAgo: 30 }] }, [[0, steer('better')], [0, oxygen('nasal-cannula', 2)]], 12); // prettier-ignore
    inside(pause.least('ventilationRatio', 3), 0.5, 3, 'no pause stops one who is better');
  },
};

const mends: Law = {
  name: 'steered better, every illness mends: gases, volume, lactate, fatigue; worse, every illness is worse',
  source: 'the description of core/steering.ts',
  check(api) {
    const X = api.SLOTS;
    const bled: Plan = [[0, drive('bleeding', 3)], [7, drive('bleeding', 0)], [8, steer('better')]]; // prettier-ignore
    const whole = run(api, ADULT, bled, 16);
    const bv0 = (whole.model.p as Record<string, number>)['bv0']!;
    below(whole.at(8).meanMmHg, 0.85 * whole.at(0).meanMmHg, 'bled');
    near(whole.state[X.BV]! / bv0, 1, 0.01, 'blood volume');
    near(whole.last.meanMmHg / whole.at(0).meanMmHg, 1, 0.05, 'pressure');
    const over = run(api, ADULT, [[0, dose('crystalloid', 'iv', 2000)], [1, steer('better')]], 10); // prettier-ignore
    near(over.state[X.BV]! / bv0, 1, 0.02, 'too much goes as well');
    const leaky = run(api, { ...ADULT, illness: [{ disease: 'anaphylaxis', pattern: 'venom' }] }, [[0, drive('mediators', 0.9, 1)], [6, steer('better')]], 14); // prettier-ignore
    below(0.2, Math.max(leaky.at(6).heartRatePerMin / 200, 0), 'reacting');
    below(leaky.state[X.LEAKED]!, 0.05, 'the leak goes back');
    for (const slot of ['U', 'SKIN', 'GUT', 'B', 'FATIGUE', 'DEBT'] as const) below(leaky.state[X[slot]]!, 0.08, slot); // prettier-ignore
    const blue = run(api, ADULT, [[0, drive('paralysis', 1)], [2.6, steer('better')]], 12); // prettier-ignore
    below(blue.at(2.5).spo2Percent, 75, 'blue');
    near(blue.last.spo2Percent, 97.5, 1.5, 'saturation');
    near(blue.last.paco2MmHg, 40, 3, 'PaCO2');
    const sour = run(api, ADULT, [[0, drive('bleeding', 3)], [9, drive('bleeding', 0)], [30, steer('better')]], 45); // prettier-ignore
    below(sour.last.lactateMmolPerL, 0.5 * sour.at(30).lactateMmolPerL + 0.6, 'lactate');
    const shot = run(api, ADULT, [[0, dose('adrenaline', 'iv', 300)], [0.5, steer('better')]], 3); // prettier-ignore
    below(shot.state[X.AD_C]!, run(api, ADULT, [[0, dose('adrenaline', 'iv', 300)]], 3).state[X.AD_C]!, 'what harms goes'); // prettier-ignore
    const low = run(api, ADULT, [[0, dose('adrenaline', 'iv', 30)], [0.5, steer('better')]], 3); // prettier-ignore
    near(low.state[X.AD_C]!, run(api, ADULT, [[0, dose('adrenaline', 'iv', 30)]], 3).state[X.AD_C]!, 1e-9, 'what helps stays'); // prettier-ignore
    for (const [disease, spec] of Object.entries(api.DISEASES)) {
      if (disease === 'foreign-body' || disease === 'opioid-toxicity') continue;
      const who: PatientProfile = { ...(disease === 'bronchiolitis' || disease === 'croup' ? { ageYears: 0.8, weightKg: 9, sex: 'male' } : ADULT), illness: [{ disease, pattern: spec.usualPattern, startedMinutesAgo: 8, severity: 0.5 }] }; // prettier-ignore
      const [good, same, bad] = (['better', 'hand-back', 'worse'] as const).map((way) => run(api, who, [[0, steer(way)]], 5).last); // prettier-ignore
      below(same!.spo2Percent - 0.3, good!.spo2Percent, `${disease}: better`);
      below(bad!.spo2Percent, same!.spo2Percent - 2, `${disease}: worse`);
      below(bad!.meanMmHg, same!.meanMmHg - 2, `${disease}: worse, pressure`);
      below(bad!.consciousnessFraction, same!.consciousnessFraction - 0.1, `${disease}: worse, duller`);
    }
    // An arrest undone: better brings a pulse back within its own time, and oxygen and flow with it.
    const stopped: Plan = [[0, drive('bleeding', 6)], [9.5, drive('bleeding', 0)]]; // prettier-ignore
    const dead = run(api, ADULT, stopped, 12);
    holds(dead.arrestMin < 11, 'arrest');
    const saved = run(api, ADULT, [...stopped, [dead.arrestMin + 0.5, steer('better')]], 20);
    near(saved.last.arrested, 0, 0, 'back');
    inside(saved.last.meanMmHg / saved.at(0).meanMmHg, 0.8, 1.2, 'and mended');
  },
};

const brink: Law = {
  name: 'an arrest held back: least of everything, no better by itself, better with oxygen and blood',
  source: 'the description of core/steering.ts (LEAST): a quarter of the rate, 0.15 of output, 0.3 of pressure, at least 31 systolic', // prettier-ignore
  check(api) {
    const X = api.SLOTS;
    const stop = run(api, ADULT, [[0, drive('bleeding', 6)]], 12).arrestMin;
    const bleeding: Plan = [[0, drive('bleeding', 6)], [stop, drive('bleeding', 0)], [stop, { kind: 'brink', on: true }]]; // prettier-ignore
    const r = run(api, ADULT, bleeding, 20);
    const p = r.model.p as Record<string, number>;
    near(r.most('arrested', stop + 0.1), 0, 0, 'no arrest');
    inside(r.last.heartRatePerMin / p['hr0']!, 0.2499, 1.2, 'rate');
    inside(r.last.meanMmHg / p['map0']!, 0.2999, 0.4, 'pressure');
    below(r.last.meanMmHg + 7.99, r.last.systolicMmHg, 'systolic above mean');
    inside(r.last.diastolicMmHg, r.last.meanMmHg - 6.01, r.last.meanMmHg, 'diastolic below mean');
    inside(r.state[X.CO]! / p['co0']!, 0.1499, 0.4, 'output');
    below(0.6, r.state[X.DEBT]!, 'no better by itself');
    inside(r.state[X.DEBT]!, 0, 0.8801, 'and no worse than the worst');
    const given = run(api, ADULT, [...bleeding, [12, dose('crystalloid', 'iv', 3000, 1)], [12, mask]], 20); // prettier-ignore
    near(given.last.arrested, 0, 0, 'lives');
    below(given.state[X.DEBT]!, 0.35, 'mends with blood');
    near(given.state[X.BRINK]!, 0, 0, 'and is let go');
    const faster = run(api, ADULT, [...bleeding, [12, dose('crystalloid', 'iv', 3000, 1)], [12, mask], [11, dose('adrenaline', 'im', 500)]], 13.4); // prettier-ignore
    const slower = run(api, ADULT, [...bleeding, [12, dose('crystalloid', 'iv', 3000, 1)], [12, mask]], 13.4);
    below(faster.state[X.DEBT]!, slower.state[X.DEBT]! + 1e-9, 'adrenaline hastens it');
    const let_ = run(api, ADULT, [...bleeding, [15, { kind: 'brink', on: false }]], 18);
    near(let_.last.arrested, 1, 0, 'let go, it comes');
    const choked: PatientProfile = { ...SEVEN, illness: [{ disease: 'foreign-body', pattern: 'laryngeal-complete' }] };
    const shut = run(api, choked, [], 8).arrestMin;
    const blue = run(api, choked, [[shut, { kind: 'brink', on: true }]], 12);
    near(blue.last.arrested, 0, 0, 'held');
    below(0.6, blue.state[X.DEBT]!, 'without air no better');
    // Towards its worst over some ten seconds: in a tenth of one, a hundredth of the way to 0.85, and what the step adds.
    const [model, s] = begin(api, ADULT);
    s[X.BRINK] = 1;
    s[X.DEBT] = 0.5;
    s[X.BV] = 2.6;
    api.stepPatient(model, s, 100);
    inside(s[X.DEBT]!, 0.5034, 0.5055, 'not at once');
    const air = run(api, choked, [[shut, { kind: 'brink', on: true }], [8, hands('object-removed')], [8, oxygen('bag-mask', 15)], [8, hands('breaths-given', 20)]], 14); // prettier-ignore
    below(air.state[X.DEBT]!, 0.35, 'with air better');
    below(85, air.last.spo2Percent, 'and pink');
    const undone = run(api, choked, [[shut + 0.2, { kind: 'brink', on: true }]], shut + 0.4);
    near(undone.at(shut + 0.1).arrested, 1, 0, 'stopped');
    near(undone.last.arrested, 0, 0, 'an arrest just begun is undone');
    const poisoned = run(api, { ageYears: 70, weightKg: 70, sex: 'male' }, [[0, dose('adrenaline', 'iv', 10000)], [0.5, { kind: 'brink', on: true }]], 1); // prettier-ignore
    near(poisoned.last.rhythm, 4, 0, 'poisoned: a fast ventricular rhythm with a pulse');
  },
};

const breaths: Law = {
  name: 'breaths pushed in: size, seal, air left behind and filling lost as by hand',
  source: 'steady trapped volume VT x/(1 - x), x = exp(-Te/tau): textbook; Tuxen & Lane 1987 (from memory)',
  check(api) {
    const X = api.SLOTS;
    const tube = oxygen('tube', undefined, 0.6);
    const still = drive('paralysis', 1);
    const p = api.buildPatient(ADULT).p as Record<string, number>;
    const with_ = (plan: Plan, minutes = 4) => run(api, ADULT, [[0, still], ...plan], minutes).state;
    near(with_([[0, tube], [0, hands('machine-breath', 7)], [0, hands('breaths-given', 12)]])[X.BREATH]!, 0.49, 1e-6, '7 mL/kg by tube'); // prettier-ignore
    const own = p['vt0']! * 1.1;
    near(with_([[0, oxygen('bag-mask', 15)], [0, hands('breaths-given', 12)]])[X.BREATH]! / own, 0.9, 0.01, 'bag'); // prettier-ignore
    near(with_([[0, hands('breaths-given', 12)]])[X.BREATH]! / own, 0.6, 0.01, 'mouth'); // prettier-ignore
    near(with_([[0, oxygen('bag-mask', 15)], [0, hands('mask-seal', 0.5)], [0, hands('breaths-given', 12)]])[X.BREATH]! / own, 0.5, 0.01, 'poor seal'); // prettier-ignore
    near(with_([[0, tube], [0, hands('tube-in-gullet')], [0, hands('breaths-given', 12)]])[X.BREATH]!, 0, 0, 'gullet'); // prettier-ignore
    for (const [rate, tight, ratio] of [
      [12, 0, 1 / 3],
      [30, 0.6, 1 / 3],
      [30, 0.6, 0.5],
      [12, 0.6, 0.2],
    ] as const) {
      // prettier-ignore
      const s = with_([[0, tube], [0, drive('bronchospasm', tight)], [0, hands('machine-breath', 7)], [0, hands('machine-inspiration', ratio)], [0, hands('breaths-given', rate)]], 20); // prettier-ignore
      const b = s[X.B]!;
      const x = Math.exp(-((60 / rate) * (1 - ratio)) / (0.25 + 2 * b * b));
      const each = (1000 * s[X.ASSIST]!) / rate / p['lean']!;
      near(s[X.TRAPPED]!, Math.min((each * x) / (1 - x), 25), 0.03 + 0.01 * each, `trapped at ${rate}`);
      // Usual pressure at the end of a breath 5 cmH2O; trapped air beyond 1.5 mL/kg and haste press as well.
      const often = Math.min(Math.max((rate / 10 - 1.5) / 2.5, 0), 1);
      const pressed = 0.9 * Math.min(Math.max((s[X.TRAPPED]! - 1.5) / 7, 0), 1) + 0.04 + 0.3 * often;
      near(s[X.PRESSED]!, Math.min(pressed, 0.92), 0.02, `filling lost at ${rate}`);
    }
    near(with_([[0, tube], [0, hands('machine-pressure', 12)], [0, hands('breaths-given', 12)]])[X.PRESSED]!, 0.096, 0.01, '12 cmH2O'); // prettier-ignore
    const bare = run(api, ADULT, [], 1).state[X.SHUNT]!;
    const at = (cmH2O: number) => run(api, ADULT, [[0, drive('shunt', 0.3)], [0, oxygen('cpap', undefined, 0.4)], [0, hands('machine-pressure', cmH2O)]], 2).state[X.SHUNT]! / (bare + 0.3); // prettier-ignore
    near(at(5), 0.65, 0.01, 'five opens a third');
    near(at(9), 0.55, 0.01, 'nine more');
    const trying = run(api, ADULT, [[0, still], [0, oxygen('bag-mask', 15)], [0, hands('breaths-given', 12)], [2, hands('tube-attempt', 30)]], 4); // prettier-ignore
    below(trying.at(2.45).ventilationRatio, 0.2, 'nobody breathes while a tube is passed');
    below(0.6, trying.at(3.5).ventilationRatio, 'and after half a minute they do');
    const drawn = run(api, ADULT, [[0, still], [0, tube], [0, hands('breaths-given', 40)], [3, { kind: 'procedure', procedure: 'breaths-given', on: false }]], 5).state; // prettier-ignore
    below(drawn[X.TRAPPED]!, 0.05, 'let out, the chest empties');
  },
};

const lungs: Law = {
  name: 'two lungs: which side, how much flow is left in it, how fast a tube too deep shuts and drawn back opens',
  source: 'left 45 % of flow (textbook); half of a shut lung’s flow turns away (Benumof 1987, from memory)',
  check(api) {
    const X = api.SLOTS;
    const deep = (site: string): Plan => [[0, drive('paralysis', 1)], [0, oxygen('tube', undefined, 1)], [0, hands('breaths-given', 12)], [2, hands('tube-too-deep', undefined, site)]]; // prettier-ignore
    for (const [site, shut, share] of [
      ['right', X.CLOSED_LEFT, 0.45],
      ['left', X.CLOSED_RIGHT, 0.55],
    ] as const) {
      // prettier-ignore
      const r = run(api, ADULT, deep(site), 12);
      near(r.state[shut]!, 0.95, 0.01, `${site}: the other is shut`);
      const flow = (share * (1 - 0.5 * 0.95)) / (share * (1 - 0.5 * 0.95) + 1 - share);
      near(r.state[X.SIDED_SHUNT]!, flow * 0.95, 0.01, `${site}: shunt by hand`);
      near(r.state[X.DIVERTED]!, site === 'right' ? flow - 0.45 : 1 - flow - 0.45, 0.005, `${site}: flow turned away`);
      near(mech(api, r.state, 'lostGas'), share, 0.005, `${site}: gas lost`);
      near(mech(api, r.state, 'stiffness'), 1, 0.01, `${site}: stiffer`);
      // Time constants 1 min shut, 0.4 min open.
      near(run(api, ADULT, deep(site), 3).state[X.TUBE_SHUT]!, 1 - Math.exp(-1), 0.01, 'one minute on');
      const back = run(api, ADULT, [...deep(site), [8, { kind: 'procedure', procedure: 'tube-too-deep', on: false }]], 8.4).state; // prettier-ignore
      near(back[X.TUBE_SHUT]!, Math.exp(-1), 0.02, '0.4 minutes after');
    }
    for (const [pattern, closed, narrow, usual] of [
      ['left-bronchial', X.CLOSED_LEFT, X.NARROW_LEFT, 0.45],
      ['right-bronchial', X.CLOSED_RIGHT, X.NARROW_RIGHT, 0.55],
    ] as const) {
      // prettier-ignore
      const s = run(api, { ageYears: 2, weightKg: 12, sex: 'male', illness: [{ disease: 'foreign-body', pattern, startedMinutesAgo: 5 }] }, [], 4).state; // prettier-ignore
      const flow = usual === 0.45 ? 0.45 + s[X.DIVERTED]! : 0.55 - s[X.DIVERTED]!;
      inside(flow, 0.5 * usual, usual - 0.03, `${pattern}: flow left`);
      near(s[X.SIDED_SHUNT]!, flow * s[closed]!, 1e-9, `${pattern}: shunt`);
      near(s[X.LOW_VQ]!, flow * s[narrow]! + 0.4 * s[X.B]!, 0.02, `${pattern}: little air`);
      inside(s[narrow]!, 0.2, 0.9, `${pattern}: some of it narrow`);
      below(s[X.PL_O2]!, 0.8 * s[X.PA_O2]!, `${pattern}: little oxygen behind it`);
      near(s[closed]! + s[narrow]!, 0.9, 0.35, `${pattern}: most of that lung`);
    }
    const air = (pattern: string) => run(api, { ...ADULT, illness: [{ disease: 'pneumothorax', pattern }] }, [], 10).state; // prettier-ignore
    for (const [pattern, at, closed, usual] of [
      ['left-tension', X.AIR_LEFT, X.CLOSED_LEFT, 0.45],
      ['right-tension', X.AIR_RIGHT, X.CLOSED_RIGHT, 0.55],
    ] as const) {
      // prettier-ignore
      const s = air(pattern);
      const down = 0.9 * Math.min(Math.max((s[at]! - 0.25) / 0.75, 0), 1);
      near(s[closed]!, down, 1e-9, `${pattern}: shut`);
      const left = usual * (1 - 0.5 * Math.min(down, 1) - 0.2 * down);
      near(s[X.SIDED_SHUNT]!, (left / (left + 1 - usual)) * down, 1e-6, `${pattern}: shunt by hand`);
    }
    const solid = run(api, { ...ADULT, illness: [{ disease: 'pneumonia', pattern: 'left-lobar', startedMinutesAgo: 30 }] }, [], 1).state; // prettier-ignore
    near(solid[X.SIDED_SHUNT]!, 0.45 * solid[X.CLOSED_LEFT]!, 1e-9, 'solid lung holds its flow');
    const drained = run(api, { ...ADULT, illness: [{ disease: 'pneumothorax', pattern: 'left-tension' }] }, [[8, hands('chest-drain')]], 16).state; // prettier-ignore
    below(drained[X.AIR_LEFT]!, 0.08, 'a drain without a side goes where the air is');
  },
};

const ending: Law = {
  name: 'arrest: rhythms by cause and age, complexes fade, minutes without flow cost, return leaves its mark',
  source:
    'the sources of core/arrest.ts: Nadkarni 2006; 7 to 10 % a minute without, 3 to 4 % with compressions (from memory); directions',
  check(api) {
    const X = api.SLOTS;
    const stop: Plan = [[0, drive('bleeding', 6)]];
    const r = run(api, ADULT, stop, 22);
    near(r.at(r.arrestMin + 0.3).rhythm, 7, 0, 'emptied: complexes without a pulse');
    below(r.at(r.arrestMin + 3).heartRatePerMin, r.at(r.arrestMin + 0.3).heartRatePerMin - 5, 'which slow');
    near(r.last.rhythm, 8, 0, 'and end');
    near(r.state[X.NO_FLOW_MIN]!, 22 - r.arrestMin, 0.05, 'minutes without flow');
    near(r.state[X.ARREST_MIN]!, 22 - r.arrestMin, 0.05, 'minutes of arrest');
    const back = r.arrestMin;
    const refill: Plan = [[back + 0.1, drive('bleeding', 0)], [back + 0.1, dose('crystalloid', 'iv', 2500)]]; // prettier-ignore
    const cpr = (at: number, rate = 110): Plan => [[at, hands('cpr', rate)], [at, oxygen('bag-mask', 15)], [at, hands('breaths-given', 10)]]; // prettier-ignore
    const gain = (plan: Plan, at: number) => run(api, ADULT, [...stop, ...refill, ...plan], at).state;
    const early = cpr(back + 0.5);
    const at2 = gain(early, back + 2.5);
    near(at2[X.LOW_FLOW_MIN]!, 2, 0.06, 'minutes with compressions');
    below(0.01, at2[X.RESTART]!, 'on the way');
    // The longer without flow, the slower; hands too few or none, never; with adrenaline sooner.
    const late = gain(cpr(back + 5), back + 7);
    below(late[X.RESTART]!, at2[X.RESTART]!, 'later, slower');
    near(gain([], back + 5)[X.RESTART]!, 0, 0, 'nobody does anything');
    below(gain(cpr(back + 0.5, 50), back + 2.5)[X.RESTART]!, at2[X.RESTART]!, 'too slow a rate');
    below(gain(cpr(back + 0.5, 50), back + 2.5)[X.CO]!, at2[X.CO]!, 'too slow a rate: flow');
    below(gain(cpr(back + 0.5, 140), back + 2.5)[X.CO]!, at2[X.CO]!, 'too fast a rate: flow');
    below(
      gain(
        [...cpr(back + 0.5)].filter((one) => one[0] !== back + 0.1),
        back + 2.5,
      )[X.CO]! * 0,
      1,
      'defined',
    );
    below(run(api, ADULT, [...stop, ...cpr(back + 0.5)], back + 2.5).state[X.CO]!, at2[X.CO]!, 'an empty heart gives less'); // prettier-ignore
    below(gain(early, back + 1)[X.RESTART]!, gain([...early, [back + 0.6, dose('adrenaline', 'iv', 100)]], back + 1)[X.RESTART]!, 'adrenaline'); // prettier-ignore
    const alive = (at: number) => run(api, ADULT, [...stop, ...refill, ...cpr(at), [at + 0.2, dose('adrenaline', 'iv', 1000)]], at + 14); // prettier-ignore
    const [soon, later] = [alive(back + 0.5), alive(back + 4)];
    const when = (x: typeof soon, at: number) => { for (let t = at; t < at + 14; t += 0.05) if (!x.at(t).arrested) return t - at; return Infinity; }; // prettier-ignore
    below(when(soon, back + 0.5), when(later, back + 4), 'later, longer');
    below(when(later, back + 4), 13, 'and back');
    const mark = (x: typeof soon, at: number) => run(api, ADULT, [...stop, ...refill, ...cpr(at), [at + 0.2, dose('adrenaline', 'iv', 1000)]], at + when(x, at) + 0.1).state; // prettier-ignore
    const [light, heavy] = [mark(soon, back + 0.5), mark(later, back + 4)];
    below(light[X.STUNNED]!, heavy[X.STUNNED]! - 0.05, 'longer, weaker');
    below(light[X.DEBT]!, heavy[X.DEBT]! - 0.03, 'longer, deeper in debt');
    inside(heavy[X.STUNNED]!, 0.15, 0.6, 'weak');
    inside(heavy[X.RHYTHM]!, 0, 3, 'a rhythm of its own');
    // An irritable heart: old, short of oxygen, or given theophylline as well, it takes less adrenaline; rate names the rhythm.
    const rhythm = (who: PatientProfile, ug: number, plan: Plan = []) => run(api, who, [...plan, [4, dose('adrenaline', 'iv', ug)]], 4.6).most('rhythm'); // prettier-ignore
    const old: PatientProfile = { ageYears: 70, weightKg: 70, sex: 'male' };
    const least = (who: PatientProfile, plan: Plan = []) => { for (let ug = 100; ug < 4000; ug *= 1.08) if (rhythm(who, ug, plan) >= 3) return ug; return Infinity; }; // prettier-ignore
    const usual = least(ADULT);
    inside(usual, 100, 600, 'ectopics');
    below(least({ ...ADULT, ageYears: 55 }), usual, 'old');
    below(least(ADULT, [[0, drive('shunt', 0.6)]]), usual, 'blue');
    below(least(ADULT, [[0, dose('aminophylline', 'iv', 1400)]]), usual, 'theophylline');
    below(2.9, rhythm(old, 2500), 'fibrillation or near it');
    near(run(api, ADULT, [[0, drive('bleeding', 2)]], 10).last.rhythm, 1, 0, 'fast');
    near(run(api, SEVEN, [[0, drive('airway-block', 1)]], 3).last.rhythm, 2, 0, 'slow, blue');
    near(run(api, SEVEN, [[0, drive('airway-block', 1)]], 8).last.rhythm, 8, 0, 'asystole of a blue child');
    // What comes as a rush irritates more than the same level reached slowly.
    const model = api.buildPatient(ADULT);
    const s = api.createState(model);
    const irritated = (ce: number) => { const c = api.copyState(s); c[X.AD_CX] = 17; c[X.AD_CE] = ce; c[X.AD_EX] = 0.46; api.stepPatient(model, c, 100); return c[X.RHYTHM]!; }; // prettier-ignore
    near(irritated(3), 3, 0, 'sudden: ectopics');
    below(irritated(17), 3, 'slow: none');
  },
};

const injectors: Law = {
  name: 'injectors: shares by hold, age and fault at the published points and half-way between',
  source:
    'Baker 2011 and Schwirtz & Seeger 2010 (abstracts seen); Kassel 2019, Cantrell 2017 (second-hand); half-ways by hand',
  check(api) {
    const share = (use: Parameters<InnerApi['deviceDelivery']>[0]) => api.deviceDelivery(use).muscleShare;
    for (const [heldSeconds, want] of [[0, 0], [0.5, 0.315], [1, 0.63], [1.75, 0.74], [2.5, 0.85], [2.75, 0.925], [3, 1], [12, 1]] as const) near(share({ heldSeconds }), want, 1e-9, `held ${heldSeconds} s`); // prettier-ignore
    for (const [monthsPastExpiry, want] of [[0, 1], [6, 1], [9, 0.975], [12, 0.95], [20.5, 0.925], [29, 0.9], [50, 0.86], [70, 0.73], [120, 0.6]] as const) near(share({ monthsPastExpiry }), want, 1e-9, `${monthsPastExpiry} months`); // prettier-ignore
    near(share({ fault: 'expired' }), 0.9, 1e-9, 'age not said');
    near(share(undefined), 1, 0, 'as it should be');
    near(share({ fault: 'misfire' }), 0, 0, 'misfire');
    const thumb = api.deviceDelivery({ fault: 'wrong-way-round', heldSeconds: 1 });
    near(thumb.digitShare, 0.63, 1e-9, 'thumb');
    near(thumb.muscleShare + thumb.skinShare, 0, 0, 'and none in the patient');
    const cloth = api.deviceDelivery({ fault: 'through-thick-clothing', monthsPastExpiry: 12 });
    near(cloth.muscleShare, 0.475, 1e-9, 'cloth: muscle');
    near(cloth.skinShare, 0.475, 1e-9, 'cloth: skin');
    holds(
      /about 95 %/.test(api.deviceUseText({ fault: 'through-thick-clothing', monthsPastExpiry: 12 }) ?? ''),
      'cloth: said',
    );
  },
};

const lasting: Law = {
  name: 'nitrate, diuretic, anaesthetic and relaxant: what each does, how long, and where the water goes',
  source: 'Delgado 1975, Jhund 2000 and the label texts (see drugs/actions.ts); directions and published sizes',
  check(api) {
    const X = api.SLOTS;
    const base = run(api, ADULT, [], 30);
    const nitrate = run(api, ADULT, [[0, dose('glyceryl-trinitrate', api.EFFECTS['glyceryl-trinitrate'].routes[0]!, 400)]], 30); // prettier-ignore
    inside(base.last.meanMmHg - nitrate.least('meanMmHg'), 3, 20, 'mean pressure falls by about 9');
    below(nitrate.state[X.DRUG_VEINS]!, run(api, ADULT, [[0, dose('glyceryl-trinitrate', api.EFFECTS['glyceryl-trinitrate'].routes[0]!, 400)]], 6).state[X.DRUG_VEINS]!, 'and fades'); // prettier-ignore
    const wet = run(api, ADULT, [[0, dose('furosemide', 'iv', 70)]], 90);
    inside(wet.state[X.URINE]!, 400, 1300, '1 mg/kg: about 860 mL in 90 min');
    const lost = run(api, ADULT, [], 90).state[X.BV]! - wet.state[X.BV]!;
    inside(lost, 0.2, 0.6, 'about half of it from the blood');
    below(run(api, ADULT, [[0, dose('furosemide', 'iv', 20)]], 90).state[X.URINE]!, wet.state[X.URINE]! - 50, 'dose');
    const tubed: Plan = [[0, oxygen('tube', undefined, 0.4)], [0, hands('breaths-given', 12)]]; // prettier-ignore
    const sleep = (effect: string, mg: number) => run(api, ADULT, [...tubed, [0, dose(effect, 'iv', mg)]], 20);
    const [ket, prop] = [sleep('ketamine', 105), sleep('propofol', 140)];
    below(ket.at(2).consciousnessFraction, 0.3, 'ketamine: asleep');
    below(prop.at(2).consciousnessFraction, 0.3, 'propofol: asleep');
    below(prop.least('meanMmHg'), ket.least('meanMmHg') - 4, 'propofol drops the pressure more');
    below(run(api, ADULT, [...tubed, [0, dose('propofol', 'iv', 280)]], 5).least('meanMmHg'), prop.least('meanMmHg') - 2, 'twice, more'); // prettier-ignore
    below(ket.at(3).consciousnessFraction, run(api, ADULT, [...tubed, [0, dose('ketamine', 'iv', 105)]], 50).last.consciousnessFraction - 0.3, 'and wakes'); // prettier-ignore
    const limp = run(api, ADULT, [[0, dose('rocuronium', 'iv', 70)]], 2);
    below(limp.last.ventilationRatio, 0.25, 'relaxant: nobody breathes');
    below(run(api, ADULT, [[0, dose('rocuronium', 'iv', 10)]], 2).state[X.RELAXED]!, limp.state[X.RELAXED]! - 0.05, 'dose'); // prettier-ignore
    below(0.1, run(api, ADULT, [[0, dose('propofol', 'iv', 140)], [0, drive('bleeding', 4)]], 3).state[X.DRUG_REFLEX]!, 'the reflex goes too'); // prettier-ignore
  },
};

export const HAND_LAWS: readonly Law[] = [steering, mends, brink, breaths, lungs, ending, injectors, lasting];
