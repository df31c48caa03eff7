/** Laws of gas exchange and breathing, each with its source, as checks that take the patient package as an argument. */
import { below, holds, inside, near, type InnerApi, type Law } from './checks.ts';
import { run as runBy, drive, oxygen, hands, mask, type Plan } from './behaviours.ts';
import { personAt } from './people.ts';
import { ACID_BASE, ALVEOLAR, APNOEA_TO_90, CONTENT, DISSOCIATION, SHIFTED } from './published.ts';
import type { PatientProfile } from '../../packages/patient/src/index.ts';

/** Courses in steps of 200 ms, which move nothing by 1 % (step-size.test.ts) and take half the time. */
const run = (api: InnerApi, who: PatientProfile, plan: Plan, minutes: number) => runBy(api, who, plan, minutes, 200);

const ADULT: PatientProfile = { ageYears: 30, weightKg: 70, sex: 'male' };
const air = (fraction: number) => oxygen('venturi-mask', undefined, fraction);

/** Seconds from stopping breathing to `limit` %, after 3 min of oxygen or of air. */
export function apnoeaSeconds(api: InnerApi, who: PatientProfile, limit: number, fio2 = 0.97, minutes = 3): number {
  const model = api.buildPatient(who);
  const s = api.createState(model);
  const v = api.createVitals();
  api.applyInput(model, s, drive('paralysis', 1));
  api.applyInput(model, s, hands('breaths-given', 30));
  if (fio2 > 0.22 && minutes < 2) {
    api.applyInput(model, s, oxygen('tube', undefined, 0.21));
    for (let i = 0; i < 1200; i++) api.stepPatient(model, s, 100);
  }
  api.applyInput(model, s, oxygen('tube', undefined, fio2));
  for (let i = 0; i < minutes * 600; i++) api.stepPatient(model, s, 100);
  api.applyInput(model, s, { kind: 'procedure', procedure: 'breaths-given', on: false });
  api.applyInput(model, s, oxygen('none'));
  for (let i = 0; i < 9000; i++) {
    if (api.readVitals(model, s, v).spo2Percent < limit) return i / 10;
    api.stepPatient(model, s, 100);
  }
  return Infinity;
}

export const GAS_LAWS: readonly Law[] = [
  {
    name: 'dissociation curve, content, alveolar gas and acid-base at their published points',
    source: 'tables of published.ts: Severinghaus 1979, Kelman 1966, Nunn, Fenn 1946, Henderson-Hasselbalch',
    check({ equations: e }) {
      for (const [po2, percent] of DISSOCIATION) near(100 * e.saturation(po2), percent, 0.6, `saturation at ${po2}`);
      for (const [po2, celsius, pH, percent] of SHIFTED)
        near(100 * e.saturation(po2 * e.curveShift(celsius, pH, 40)), percent, 0.5, `shifted, ${celsius} C, pH ${pH}`);
      below(e.curveShift(37, 7.4, 60), e.curveShift(37, 7.4, 40), 'CO2 by itself moves the curve right');
      for (const [hb, po2, want] of CONTENT) near(e.content(po2, hb, 1), want, 0.06, `content, Hb ${hb}, PO2 ${po2}`);
      for (const [fio2, pco2, want] of ALVEOLAR) near(e.alveolarPo2(fio2, pco2), want, 0.6, `PAO2 at ${fio2}, ${pco2}`);
      for (const [hco3, pco2, want] of ACID_BASE) near(e.bloodPh(hco3, pco2), want, 0.006, `pH at ${hco3}, ${pco2}`);
      near(e.po2OfSaturation(0.5), 26.86, 0.01, 'P50');
      for (const po2 of [5, 27, 60, 95, 400])
        for (const guess of [1, 60, 700]) {
          near(e.po2OfContent(e.content(po2, 13, 0.9), 13, 0.9, guess), po2, 1e-5 * po2, `PO2 of content at ${po2}`);
          const slope = (e.content(po2 + 0.01, 13, 0.9) - e.content(po2 - 0.01, 13, 0.9)) / 0.02;
          near(e.contentSlope(po2, 13, 0.9) / slope, 1, 1e-3, `slope of content at ${po2}`);
        }
      // The step's own forms give what the plain ones do.
      const { GAS } = e;
      GAS[e.G_PO2] = 60;
      GAS[e.G_HB] = 13;
      GAS[e.G_SHIFT] = 0.9;
      e.contentCell();
      near(GAS[e.G_OUT]!, e.content(60, 13, 0.9), 1e-12, 'content, two forms');
      GAS[e.G_TARGET] = GAS[e.G_OUT]!;
      GAS[e.G_PO2] = 300;
      e.po2OfContentCell();
      near(GAS[e.G_OUT]!, 60, 1e-6, 'PO2 of content, two forms');
      GAS[e.G_TEMP] = 39;
      GAS[e.G_PH] = 7.2;
      GAS[e.G_PCO2] = 65;
      GAS[e.G_HCO3] = 25;
      e.curveShiftCell();
      near(GAS[e.G_OUT]!, e.curveShift(39, 7.2, 65), 1e-12, 'shift, two forms');
      e.bloodPhCell();
      near(GAS[e.G_PH]!, e.bloodPh(25, 65), 1e-12, 'pH, two forms');
    },
  },
  {
    name: 'a steady patient obeys the CO2, alveolar gas, shunt and Fick equations',
    source: 'textbook: PaCO2 = 0.863 VCO2/VA; Fenn 1946; Berggren 1942; Fick 1870',
    check(api) {
      const X = api.SLOTS;
      for (const [age, opioid, shunt, fraction] of [
        [30, 0, 0, 0.21],
        [30, 0.55, 0, 0.4],
        [5, 0, 0.2, 0.5],
        [75, 0.3, 0.1, 0.6],
      ] as const) {
        const r = run(api, personAt(age), [[0, drive('opioid', opioid)], [0, drive('shunt', shunt)], [0, air(fraction)]], 30); // prettier-ignore
        const s = r.state;
        const p = r.model.p as Record<string, number>;
        const v = r.last;
        const made = p['vco2']! * (s[X.VO2]! / p['vo2']!);
        near(v.paco2MmHg / ((0.863 * made) / s[X.VA]!), 1, 0.01, 'PaCO2');
        near(s[X.PA_O2]!, fraction * 713 - v.paco2MmHg / 0.85, 4, 'PAO2');
        const content = (po2: number) => {
          const at = po2 * p['foetal']! * 10 ** (0.4 * (v.arterialPh - 7.4) + 0.06 * Math.log10(40 / v.paco2MmHg));
          return (1.34 * p['hb']!) / (23400 / (at ** 3 + 150 * at) + 1) + 0.0031 * po2;
        };
        const venous = api.bloodGas(r.model, s, 'venous');
        const cv = content(venous.po2MmHg);
        const ca = content(v.pao2MmHg);
        near((content(s[X.PA_O2]!) - ca) / (content(s[X.PA_O2]!) - cv), p['shunt0']! + shunt, 0.012, 'shunt');
        near((10 * s[X.CO]! * (ca - cv)) / s[X.VO2]!, 1, 0.02, 'Fick');
        near(v.arterialPh, 6.1 + Math.log10(s[X.HCO3]! / (0.0307 * v.paco2MmHg)), 0.002, 'pH');
        near(s[X.HCO3]!, 24.1 + 0.1 * (v.paco2MmHg - 40) - (v.lactateMmolPerL - 1), 0.3, 'bicarbonate');
      }
    },
  },
  {
    name: 'blood gas of three sites',
    source:
      'textbook: venous saturation about 75 %, PCO2 46; base excess 0.9287(HCO3 - 24.4 + 14.83(pH - 7.4)), CLSI C46, from memory',
    check(api) {
      const r = run(api, ADULT, [], 1);
      const [a, v, c] = (['arterial', 'venous', 'capillary'] as const).map((site) =>
        api.bloodGas(r.model, r.state, site),
      );
      near(v!.saturationPercent, 75, 4, 'venous saturation');
      near(v!.pco2MmHg, 46, 1, 'venous PCO2');
      inside(a!.pH - v!.pH, 0.02, 0.06, 'venous pH below arterial');
      near(a!.po2MmHg, r.last.pao2MmHg, 1e-6, 'arterial PO2');
      near(a!.pH, r.last.arterialPh, 0.003, 'arterial pH');
      below(v!.po2MmHg, c!.po2MmHg, 'capillary above venous');
      below(c!.po2MmHg, a!.po2MmHg, 'capillary below arterial');
      near(v!.bicarbonateMmolPerL, a!.bicarbonateMmolPerL + 0.1 * (v!.pco2MmHg - a!.pco2MmHg), 0.01, 'bicarbonate');
      const shocked = run(api, ADULT, [[0, drive('bleeding', 4)]], 7);
      const pale = api.bloodGas(shocked.model, shocked.state, 'capillary');
      const art = api.bloodGas(shocked.model, shocked.state, 'arterial');
      const ven = api.bloodGas(shocked.model, shocked.state, 'venous');
      const venousShare = (pale.pco2MmHg - art.pco2MmHg) / (ven.pco2MmHg - art.pco2MmHg);
      inside(venousShare, 0.3, 0.75, 'a shut-down skin gives more venous blood');
      near(api.standardBaseExcess(7.4, 24.4), 0, 1e-9, 'base excess, normal');
      near(api.standardBaseExcess(7.1, 9), 0.9287 * (-15.4 - 4.449), 1e-6, 'base excess, acid');
      near(a!.baseExcessMmolPerL, 0, 1.5, 'base excess at rest');
    },
  },
  {
    name: 'seconds of apnoea to 90 % by age after pre-oxygenation',
    source: 'Patel R et al. Can J Anaesth 1994;41:771-4, mean ± 2 SD of each of five groups',
    check(api) {
      let last = 0;
      for (const [group, ageYears, weightKg, mean, sd] of APNOEA_TO_90) {
        const seconds = apnoeaSeconds(api, { ageYears, weightKg, sex: 'male' }, 90);
        inside(seconds, mean - 2 * sd, mean + 2 * sd, group);
        below(last, seconds, `${group}: older lasts longer`);
        last = seconds;
        if (ageYears < 4)
          below(apnoeaSeconds(api, { ageYears, weightKg, sex: 'male' }, 90, 0.21), 0.5 * seconds, 'air');
      }
    },
  },
  {
    name: 'CO2 in apnoea: more in the first minute, then 3.3 to 5 mmHg a minute',
    source: 'Cook TM, Wolf AR, Henderson AJW. Br J Anaesth 1998;81:338-42: 4.2 mmHg/min (CI 3.7-4.7) in children',
    check(api) {
      const who: PatientProfile = { ageYears: 4, weightKg: 16, sex: 'male' };
      const r = run(api, who, [[0, oxygen('tube', undefined, 1)], [3, drive('paralysis', 1)]], 7); // prettier-ignore
      const later = (r.at(6).paco2MmHg - r.at(4).paco2MmHg) / 2;
      inside(later, 3.3, 5, 'later minutes');
      below(later, r.at(4).paco2MmHg - r.at(3).paco2MmHg, 'first minute');
      below(94, r.at(6).spo2Percent, 'oxygen drawn in keeps the saturation');
    },
  },
  {
    name: 'inspired fraction of each device lies in its published range, and falls when breathing is hard',
    source:
      'cannula 0.24-0.44 at 1-6 L/min, simple mask 0.35-0.60 at 5-10, reservoir mask 0.60-0.90 at 10-15 (johnsarm.net/o2_delivery_systems.htm, seen); bag-mask near pure when squeezed (textbook)',
    check(api) {
      const at = (...input: Parameters<typeof oxygen>) => run(api, ADULT, [[0, oxygen(...input)]], 2).last.fio2Fraction;
      inside(at('nasal-cannula', 1), 0.235, 0.27, 'cannula 1 L');
      inside(at('nasal-cannula', 4), 0.31, 0.38, 'cannula 4 L');
      inside(at('nasal-cannula', 6), 0.36, 0.44, 'cannula 6 L');
      inside(at('nasal-cannula'), 0.26, 0.3, 'cannula, usual 2 L');
      inside(at('simple-mask', 5), 0.35, 0.45, 'simple mask 5 L');
      inside(at('simple-mask', 10), 0.5, 0.6, 'simple mask 10 L');
      inside(at('simple-mask'), 0.38, 0.5, 'simple mask, usual flow');
      inside(at('non-rebreathe-mask', 15), 0.6, 0.9, 'reservoir mask');
      below(at('non-rebreathe-mask', 5), at('non-rebreathe-mask', 10) - 0.15, 'half the flow');
      near(at('venturi-mask', undefined, 0.35), 0.35, 0.002, 'fixed mask');
      near(at('venturi-mask'), 0.28, 0.002, 'fixed mask, usual');
      inside(at('high-flow-nasal', 10), 0.4, 0.6, 'high flow by flow');
      near(at('tube'), 0.95, 0.03, 'tube');
      inside(at('bag-mask', 15), 0.3, 0.6, 'bag held over the face');
      near(at('none'), 0.21, 1e-6, 'air');
      const squeezed = run(api, ADULT, [[0, oxygen('bag-mask', 15)], [0, hands('breaths-given', 12)]], 2); // prettier-ignore
      inside(squeezed.last.fio2Fraction, 0.9, 1, 'bag squeezed');
      const hard: Plan = [[0, mask], [0, drive('bronchospasm', 0.5)]]; // prettier-ignore
      below(run(api, ADULT, hard, 8).last.fio2Fraction, at('non-rebreathe-mask', 15) - 0.01, 'breathing hard');
      // Mask wash-in: most of the way within half a minute.
      const washing = run(api, ADULT, [[0, mask]], 1);
      inside(washing.at(0.15).fio2Fraction, 0.4, 0.7, 'after ten seconds');
    },
  },
  {
    name: 'one millimetre of swelling: resistance 16-fold in an infant, 32-fold when it cries, 2.4-fold in an adult',
    source:
      'Poiseuille, r^-4, and r^-5 when turbulent: 4 mm to 2 mm across is 16-fold quiet, 32-fold crying (experts123.com/q/why-are-children-at-increased-risk-from-airway-obstruction, seen)',
    check(api) {
      const X = api.SLOTS;
      const at = (ageYears: number, weightKg: number, radius: number, agitation: number) =>
        run(
          api,
          { ageYears, weightKg, sex: 'female' },
          [
            [0, drive('upper-airway-oedema', api.oedemaFraction(1, radius))],
            [0, drive('agitation', agitation)],
            [0, oxygen('venturi-mask', undefined, 0.6)],
            // So that a tongue falling back does not count.
            [0, hands('airway-held-open')],
          ],
          30,
        ).state[X.R_UPPER]!;
      near(at(0.75, 8.5, 2, 0), 16, 0.16, 'infant, quiet');
      near(at(0.75, 8.5, 2, 1), 32, 0.32, 'infant, crying');
      near(at(40, 75, 5, 0), 1 / 0.8 ** 4, 0.03, 'adult');
      near(api.airwayRadiusMm(0.75), 2, 0.1, 'radius of an infant (4 mm across)');
      near(2 * api.airwayRadiusMm(4), 5, 1e-9, 'radius at four years (Cole 1957: age/4 + 4 across)');
      near(2 * api.airwayRadiusMm(8), 6, 1e-9, 'radius at eight years');
    },
  },
  {
    name: 'shunt 25 % on high-flow oxygen reaches 94 %, 50 % does not reach 90, at an a-v difference of 4 to 6 mL/dL',
    source: 'Berggren SM. Acta Physiol Scand 1942;4 S11: algebra of the shunt equation',
    check(api) {
      const X = api.SLOTS;
      const who: PatientProfile = { ...ADULT, baseline: { haemoglobinGPerDl: 12 } };
      for (const [wanted, least, most] of [
        [0.25, 94, 100],
        [0.5, 0, 90],
      ] as const) {
        const own = (api.buildPatient(who).p as Record<string, number>)['shunt0']!;
        // The output is held down a little: a heart racing in hypoxia would narrow the difference.
        const r = run(api, who, [[0, drive('shunt', wanted - own)], [0, drive('heart-weakness', 0.12)], [1, oxygen('bag-mask', 15, 1)]], 8); // prettier-ignore
        near(r.state[X.SHUNT]!, wanted, 1e-9, 'shunt');
        inside(r.state[X.CA_O2]! - r.state[X.CV_O2]!, 4, 6, 'arterio-venous difference');
        inside(r.last.spo2Percent, least, most, `saturation at shunt ${wanted}`);
      }
    },
  },
  {
    name: 'CO2 and want of oxygen drive breathing; warmth, distress and acid add; opioid and magnesium take away',
    source: 'textbook physiology; directions only',
    check(api) {
      const ve = (plan: Plan, minutes = 6, who = ADULT) => run(api, who, plan, minutes).last.ventilationRatio;
      const rest = ve([]);
      near(rest, 1, 0.02, 'at rest');
      below(rest + 0.12, ve([[0, drive('dead-space', 0.2)], [0, air(0.5)]]), 'dead space'); // prettier-ignore
      below(rest + 0.2, ve([[0, drive('shunt', 0.35)]]), 'shunt');
      below(rest + 0.05, ve([[0, drive('fever', 2)]], 40), 'fever');
      below(ve([[0, drive('fever', -3)]], 40), rest - 0.05, 'cold');
      below(rest + 0.1, ve([[0, drive('agitation', 1)]]), 'distress');
      below(ve([[0, drive('opioid', 0.4)]]), rest - 0.1, 'opioid');
      below(ve([[0, drive('paralysis', 0.97)]]), 0.4, 'paralysis');
      below(ve([[0, drive('apnoea-drive', 1)]], 1), 0.05, 'apnoea drive');
      const dead = run(api, ADULT, [[0, drive('dead-space', 0.2)], [0, air(0.4)]], 30); // prettier-ignore
      inside(dead.last.paco2MmHg, 41, 50, 'dead space raises PaCO2 a little');
      below(dead.last.etco2MmHg, dead.last.paco2MmHg - 2, 'end-tidal below arterial');
    },
  },
  {
    name: 'the tongue falls back when consciousness goes, and lifting the chin helps; breaths given move air',
    source: 'basic life-support teaching (RCUK 2021): open the airway before anything else',
    check(api) {
      const deep: Plan = [[0, drive('opioid', 0.93)], [0, air(0.6)]]; // prettier-ignore
      const none = run(api, ADULT, deep, 8);
      const lifted = run(api, ADULT, [...deep, [0.5, hands('airway-held-open')]], 8);
      const X = api.SLOTS;
      below(lifted.state[X.R_UPPER]! + 0.5, none.state[X.R_UPPER]!, 'resistance');
      const given = run(api, ADULT, [...deep, [2, oxygen('bag-mask', 15)], [2, hands('breaths-given', 14)]], 8); // prettier-ignore
      below(given.last.paco2MmHg + 10, none.last.paco2MmHg, 'PaCO2 with breaths');
      near(given.last.respiratoryRatePerMin, 14, 1e-9, 'rate is the rate given');
      const tube = run(api, ADULT, [...deep, [2, oxygen('tube')], [2, hands('breaths-given', 14)]], 8);
      below(given.last.ventilationRatio, tube.last.ventilationRatio, 'a tube seals better than a mask');
      const stiff: Plan = [...deep, [0, drive('bronchospasm', 0.8)], [2, oxygen('tube')], [2, hands('breaths-given', 14)]]; // prettier-ignore
      below(run(api, ADULT, stiff, 8).last.ventilationRatio, tube.last.ventilationRatio, 'tight airways');
      holds(given.last.arrested === 0, 'nobody arrests who is ventilated');
    },
  },
];
