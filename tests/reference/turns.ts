/**
 * Signs chosen because a lesson hangs on each: turning one, or swapping a pair, must fail a law or a published behaviour.
 * Texts are as bundled. The last word of a row names a check that is known to notice: it is asked first, the others if it
 * does not, so that only the time and never the answer hangs on it.
 */
export interface Turn {
  readonly what: string;
  /** Source file within packages/patient/src. */
  readonly file: string;
  readonly from: string;
  readonly to: string;
  readonly noticedBy: string;
}

const ROWS: readonly (readonly [what: string, file: string, from: string, to: string, noticedBy: string])[] = [
  [
    'CO2 drives breathing',
    'core/breathing.ts',
    'p.co2Slope * (pco2 - p.co2Set)',
    'p.co2Slope * (p.co2Set - pco2)',
    'asthma, acute severe: the numbers that define it',
  ],
  [
    'lack of oxygen drives breathing',
    'core/breathing.ts',
    '2 * unit((threshold - sa) / 0.3)',
    '-2 * unit((threshold - sa) / 0.3)',
    'one step: what was moved away goes home and does not pass it; memories follow what they remember',
  ],
  [
    'fatigue weakens',
    'core/breathing.ts',
    '(1 - 0.8 * f)',
    '(1 + 0.8 * f)',
    'asthma: PaCO2 low while strength lasts, rising with fatigue, arrest at the end',
  ],
  [
    'an illness stiffens',
    'core/breathing.ts',
    '0.35 * (ru - 1) + stiff',
    '0.35 * (ru - 1) - stiff',
    'a retainer at rest has the bicarbonate of a chronic high PaCO2; wet lungs wheeze',
  ],
  [
    'opioid depresses',
    'core/breathing.ts',
    'const awake = 1 - opioid',
    'const awake = 1 + opioid',
    'the tongue falls back when consciousness goes, and lifting the chin helps; breaths given move air',
  ],
  [
    'shunt darkens',
    'core/oxygen.ts',
    'low * cl + shunt * cv',
    'low * cl + shunt * cc',
    'shunt 25 % on high-flow oxygen reaches 94 %, 50 % does not reach 90, at an a-v difference of 4 to 6 mL/dL',
  ],
  [
    'an illness shunts',
    'core/oxygen.ts',
    'drive(s, D_SHUNT) + s[M_SHUNT]',
    'drive(s, D_SHUNT) - s[M_SHUNT]',
    'object in one main bronchus: that side alone is quiet',
  ],
  [
    'ventilation washes CO2 out',
    'core/oxygen.ts',
    'kf / lungStore + wash / lungStore',
    'kf / lungStore - 0.2 * wash / lungStore',
    'one step: what was moved away goes home and does not pass it; memories follow what they remember',
  ],
  [
    'bronchodilators open',
    'diseases/mediators.ts',
    '(1 - 0.6 * salbutamol)',
    '(1 + 0.6 * salbutamol)',
    'one step of medicines and mediators: more does more',
  ],
  [
    'magnesium opens',
    'diseases/mediators.ts',
    '1 - 0.3 * magnesium',
    '1 + 0.3 * magnesium',
    'one step of medicines and mediators: more does more',
  ],
  [
    'nebulised adrenaline shrinks',
    'diseases/mediators.ts',
    '1 - 0.6 * local',
    '1 + 0.6 * local',
    'one step of medicines and mediators: more does more',
  ],
  [
    'leaked plasma leaves the blood',
    'core/circulation.ts',
    'back - leak - 0.75',
    'leak - back - 0.75',
    'crystalloid: about half in the blood while it runs, 15 to 30 % half an hour later; volumes add up',
  ],
  [
    'pressure in the chest empties the heart',
    'core/circulation.ts',
    '(1 - s[X.TAMPING])',
    '(1 + s[X.TAMPING])',
    'pneumothorax: air on the side named, less oxygen, a wider end-tidal gap; a needle leaves some of it',
  ],
  [
    'glucagon strengthens',
    'core/circulation.ts',
    '0.3 * glucagon',
    '-0.3 * glucagon',
    'anaphylaxis: adrenaline early beats late; beta-blocked answers less, and glucagon gives it back',
  ],
  [
    'a needle lets air out',
    'diseases/illness.ts',
    'v += unit(h / 0.25) * (rest - v)',
    'v -= unit(h / 0.25) * (rest - v)',
    'pneumothorax: air on the side named, less oxygen, a wider end-tidal gap; a needle leaves some of it',
  ],
  [
    'left is left',
    'core/procedures.ts',
    'if (name.includes("left")) return true;',
    'if (name.includes("right")) return true;',
    'pneumothorax: air on the side named, less oxygen, a wider end-tidal gap; a needle leaves some of it',
  ],
  [
    'pressure at the mask dries the lungs',
    'diseases/illness.ts',
    '>= 7 ? 0.6 :',
    '>= 7 ? 1.6 :',
    'pulmonary oedema: sitting up and pressure at the mask help; more than oxygen alone',
  ],
  [
    'rich oxygen unmatches',
    'diseases/illness.ts',
    'p.unmatching * most * s[X.UNMATCHED]',
    '-p.unmatching * most * s[X.UNMATCHED]',
    'a retainer at rest has the bicarbonate of a chronic high PaCO2; wet lungs wheeze',
  ],
  [
    'back blows loosen',
    'core/procedures.ts',
    's[X.LOOSENED] + each',
    's[X.LOOSENED] - each',
    'choking: back blows and thrusts clear it; too few do not; an arrest needs breaths after the object is out',
  ],
  [
    'suction clears',
    'core/procedures.ts',
    '0.35 * s[X.SECRETIONS]',
    '1.65 * s[X.SECRETIONS]',
    'bronchiolitis: bronchodilators hardly help; suction and high flow do',
  ],
  [
    'rousing ends a pause',
    'diseases/illness.ts',
    '<= 0 || s[X.ROUSED_MIN] > 0',
    '<= 0 && s[X.ROUSED_MIN] <= 0',
    'bronchiolitis of the first weeks: pauses, each with a fall in saturation, ended by rousing',
  ],
  [
    'fever heats',
    'core/body.ts',
    '+ s[M_FEVER]',
    '- s[M_FEVER]',
    'one step of mind, heat, sugar, lactate, blood and medicines: which way',
  ],
  [
    'CO2 itself moves the oxygen curve',
    'core/gas.ts',
    '0.06 * (LOG10_40 - CELL[0] / LN10))',
    '0.06 * (CELL[0] / LN10 - LOG10_40))',
    'dissociation curve, content, alveolar gas and acid-base at their published points',
  ],
  [
    'acid moves the oxygen curve',
    'core/gas.ts',
    '0.4 * (GAS[G_PH] - 7.4)',
    '0.4 * (7.4 - GAS[G_PH])',
    'dissociation curve, content, alveolar gas and acid-base at their published points',
  ],
  [
    'a closed lung shunts',
    'diseases/lungs.ts',
    's[M_SHUNT] = s[M_SHUNT] + sided',
    's[M_SHUNT] = s[M_SHUNT] - sided',
    'object in one main bronchus: that side alone is quiet',
  ],
  [
    'infected blood makes lactate',
    'core/body.ts',
    '1 + 6.5 * Math.min',
    '1 - 6.5 * Math.min',
    'one step of mind, heat, sugar, lactate, blood and medicines: which way',
  ],
  [
    'CO2 makes drowsy',
    'core/body.ts',
    'const carbon = 1 - unit(',
    'const carbon = 1 + unit(',
    'one step: what was moved away goes home and does not pass it; memories follow what they remember',
  ],
  [
    'a retainer bears CO2 better',
    'core/body.ts',
    's[X.PA_CO2] - p.co2Tolerance - 60',
    's[X.PA_CO2] + p.co2Tolerance - 60',
    'one step: what was moved away goes home and does not pass it; memories follow what they remember',
  ],
  [
    'a second wave waits',
    'diseases/mediators.ts',
    't - p.returnsAfter :',
    't + p.returnsAfter :',
    'anaphylaxis: what comes back comes when it is due; what is refractory needs infusion and fluid',
  ],
  [
    'a stubborn reaction takes up less from muscle',
    'drugs/step.ts',
    'p.muscleUptake * clamp',
    '(1 / p.muscleUptake) * clamp',
    'anaphylaxis: what comes back comes when it is due; what is refractory needs infusion and fluid',
  ],
];

export const TURNS: readonly Turn[] = ROWS.map(([what, file, from, to, noticedBy]) => ({
  what,
  file,
  from,
  to,
  noticedBy,
}));

/**
 * The bundled text with one turn made in its file; throws unless the text stands there exactly once. A bundler numbers names
 * that clash, so a name may have digits after it, and keeps them.
 */
export function withTurn(code: string, { file, from, to }: Turn): string {
  const heads = [...code.matchAll(/^\s*\/\/ (\S+\.ts)$/gm)];
  const head = heads.findIndex((one) => one[1]!.endsWith(`patient/src/${file}`) || one[1] === `src/${file}`);
  if (head < 0) throw new Error(`${file} is not in the bundle`);
  const start = heads[head]!.index;
  const end = heads[head + 1]?.index ?? code.length;
  const names: string[] = [];
  const pattern = from.split(/([A-Za-z_]\w*)/).map((part, i) => {
    if (i % 2 === 0) return part.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
    if (names.includes(part)) return `\\k<${part}>`;
    names.push(part);
    return `(?<${part}>\\b${part}\\d*)`;
  });
  const found = [...code.slice(start, end).matchAll(new RegExp(pattern.join(''), 'g'))];
  if (found.length !== 1) throw new Error(`"${from}" stands ${found.length} times in ${file}`);
  const at = start + found[0]!.index;
  const turned = to.replace(/[A-Za-z_]\w*/g, (name) => found[0]!.groups?.[name] ?? name);
  return code.slice(0, at) + turned + code.slice(at + found[0]![0].length);
}

/**
 * Beginnings of the names of the checks that look hardest at a source file: asked first about a sign of it, all others after
 * them, so that this too is only about time.
 */
const ABOUT: readonly (readonly [file: RegExp, checks: readonly string[]])[] = [
  [/^drugs\/deliver/, ['a dose told late', 'doses over time', 'adrenaline in plasma']],
  [/^drugs\//, ['one step of medicines', 'all that a reaction brought', 'adrenaline in plasma']],
  [/^core\/steering/, ['steering:', 'steered better', 'an arrest held back']],
  [/^core\/(circulation|rhythm)/, ['one step:', 'blood gas of three', 'one step of the circulation']],
  [/^core\/breathing/, ['one step:', 'water in the lungs', 'CO2 and want of oxygen', 'the tongue falls back']],
  [/^core\/(oxygen|gas)/, ['dissociation curve', 'a steady patient', 'asthma, acute severe', 'blood gas of three']],
  [/^core\/body/, ['one step:', 'one step of mind', 'the tongue falls back']],
  [/^core\/arrest/, ['an arrest held back', 'arrest: rhythms', 'arrest: nothing']],
  [/^core\/inputs/, ['each disease is run', 'doses over time']],
  [/^diseases\/lungs/, ['two lungs:', 'object in one main']],
  [/^diseases\//, ['one step:', 'water in the lungs', 'an illness twice', 'pneumothorax: air']],
];

export const asksFirst = (file: string): readonly string[] => ABOUT.find(([of]) => of.test(file))?.[1] ?? [];
