/** What each plot shows: one patient, left alone and looked after. Invented patients; training only, not for patient care. */
const drive = (id, to, overMin = 0) => ({ kind: 'drive', drive: id, to, overMs: overMin * 60000 });
const oxygen = (device, flowLPerMin, fio2Fraction) => ({
  kind: 'oxygen',
  device,
  ...(flowLPerMin === undefined ? {} : { flowLPerMin }),
  ...(fio2Fraction === undefined ? {} : { fio2Fraction }),
});
const mask = oxygen('non-rebreathe-mask', 15);
const dose = (effect, route, amount, overMin = 0) => ({ kind: 'dose', effect, route, amount, overMs: overMin * 60000 });
const hands = (procedure, amount, site) => ({
  kind: 'procedure',
  procedure,
  on: true,
  ...(amount === undefined ? {} : { amount }),
  ...(site === undefined ? {} : { site }),
});
const person = (ageYears, weightKg, sex, disease, pattern, startedMinutesAgo = 0) => ({
  ageYears,
  weightKg,
  sex,
  illness: [{ disease, pattern, startedMinutesAgo }],
});

export const COURSES = [
  {
    file: 'anaphylaxis',
    title: 'Anaphylaxis, child of 7, food',
    care: 'adrenaline IM at 3 and 8 min, oxygen, fluid',
    who: person(7, 23, 'female', 'anaphylaxis', 'food'),
    minutes: 30,
    both: [[0, drive('mediators', 0.9, 1)]],
    treated: [
      [3, dose('adrenaline', 'im', 300)],
      [3.5, mask],
      [8, dose('adrenaline', 'im', 300)],
      [9, dose('crystalloid', 'iv', 230, 5)],
    ],
  },
  {
    file: 'asthma',
    title: 'Life-threatening asthma, child of 8',
    care: 'oxygen, salbutamol and ipratropium from 15 min, magnesium at 20',
    who: person(8, 26, 'male', 'asthma', 'life-threatening'),
    minutes: 60,
    treated: [
      [15, mask],
      [15, dose('salbutamol', 'neb', 5, 8)],
      [15, dose('ipratropium', 'neb', 250, 8)],
      [25, dose('salbutamol', 'neb', 5, 8)],
      [20, dose('magnesium', 'iv', 1040, 20)],
    ],
  },
  {
    file: 'croup',
    title: 'Croup, child of 2',
    care: 'dexamethasone at 10 min, nebulised adrenaline at 32 and 75 min',
    who: person(2, 12, 'male', 'croup', 'viral'),
    minutes: 120,
    treated: [
      [10, dose('dexamethasone', 'oral', 1.8)],
      [32, dose('adrenaline', 'neb', 4800, 8)],
      [75, dose('adrenaline', 'neb', 4800, 8)],
    ],
  },
  {
    file: 'bronchiolitis',
    title: 'Bronchiolitis with pauses, six weeks',
    care: 'suction at 5 min, high-flow oxygen at 8, suction again at 20',
    who: person(0.12, 4.5, 'male', 'bronchiolitis', 'with-apnoea', 30),
    minutes: 30,
    treated: [
      [5, hands('suction')],
      [8, oxygen('high-flow-nasal', 9, 0.4)],
      [20, hands('suction')],
    ],
  },
  {
    file: 'foreign-body',
    title: 'Choking, child of 2',
    care: 'back blows, thrusts, back blows from 20 s',
    who: person(2, 12, 'female', 'foreign-body', 'laryngeal-complete'),
    minutes: 6,
    treated: [
      [0.33, hands('back-blows', 5)],
      [0.55, hands('abdominal-thrusts', 5)],
      [0.8, hands('back-blows', 5)],
    ],
  },
  {
    file: 'pneumonia',
    title: 'Pneumonia with sepsis, man of 66',
    care: 'oxygen at 5 min, fluid at 8, 20 and 32',
    who: person(66, 72, 'male', 'pneumonia', 'septic', 30),
    minutes: 60,
    treated: [
      [5, mask],
      [8, dose('crystalloid', 'iv', 500, 10)],
      [20, dose('crystalloid', 'iv', 500, 10)],
      [32, dose('crystalloid', 'iv', 500, 10)],
    ],
  },
  {
    file: 'copd',
    title: 'COPD exacerbation, man of 68 who retains CO2',
    care: '28 % at 2 min, nebulisers, NIV at 25',
    bare: 'reservoir mask 15 L/min from 2 min',
    who: person(68, 70, 'male', 'copd', 'retainer', 30),
    minutes: 60,
    untreated: [[2, mask]],
    treated: [
      [2, oxygen('venturi-mask', 4, 0.28)],
      [4, dose('salbutamol', 'neb', 5, 8)],
      [4, dose('ipratropium', 'neb', 500, 8)],
      [25, oxygen('niv', undefined, 0.28)],
    ],
  },
  {
    file: 'opioid',
    title: 'Opioid toxicity, woman of 30',
    care: 'bag-mask breaths at 3 min, naloxone at 6, nothing more',
    who: person(30, 70, 'female', 'opioid-toxicity', 'morphine-like'),
    minutes: 90,
    treated: [
      [3, oxygen('bag-mask', 15)],
      [3, hands('breaths-given', 10)],
      [6, dose('naloxone', 'iv', 400)],
      [9, { kind: 'procedure', procedure: 'breaths-given', on: false }],
      [9, oxygen('none')],
    ],
  },
  {
    file: 'pneumothorax',
    title: 'Tension pneumothorax on the right, man of 25',
    care: 'needle on the right at 14 min, drain at 22',
    who: person(25, 75, 'male', 'pneumothorax', 'right-tension'),
    minutes: 30,
    treated: [
      [14, hands('needle-decompression', undefined, 'right')],
      [22, hands('chest-drain', undefined, 'right')],
    ],
  },
  {
    file: 'pulmonary-oedema',
    title: 'Pulmonary oedema, woman of 72',
    care: 'sat up at 12 min, mask at 15, nitrate at 18 and 30, CPAP at 25',
    who: person(72, 75, 'female', 'pulmonary-oedema', 'cardiogenic'),
    minutes: 90,
    treated: [
      [12, { kind: 'posture', posture: 'sitting' }],
      [15, mask],
      [18, { kind: 'dose', effect: 'glyceryl-trinitrate', route: 'topical', amount: 400 }],
      [25, oxygen('cpap', undefined, 0.6)],
      [30, { kind: 'dose', effect: 'glyceryl-trinitrate', route: 'topical', amount: 400 }],
    ],
  },
];
