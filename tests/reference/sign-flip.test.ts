/**
 * Would the behaviour checks notice? Each row turns one sign, or swaps one pair, in the source of a bundled copy of the
 * patient; the checks of behaviours.ts must fail on that copy. They pass on an unchanged copy bundled the same way.
 */
import { fileURLToPath } from 'node:url';
import { readFileSync } from 'node:fs';
import { build } from 'esbuild';
import { describe, expect, it } from 'vitest';
import { load } from '../../packages/patient/test/bundled.ts';
import { BEHAVIOURS, type Api } from './behaviours.ts';

const src = fileURLToPath(new URL('../../packages/patient/src/', import.meta.url));

/** A bundled copy with one text replaced in one file; the text must stand there exactly once. */
async function copy(file: string | null, from = '', to = ''): Promise<Api> {
  const result = await build({
    entryPoints: [`${src}index.ts`],
    bundle: true,
    write: false,
    format: 'iife',
    globalName: 'patientPackage',
    target: 'node20',
    logLevel: 'silent',
    plugins: [
      {
        name: 'turn',
        setup(b) {
          b.onLoad({ filter: /\.ts$/ }, (args) => {
            let contents = readFileSync(args.path, 'utf8');
            if (file !== null && args.path === src + file) {
              const parts = contents.split(from);
              if (parts.length !== 2) throw new Error(`"${from}" stands ${parts.length - 1} times in ${file}`);
              contents = parts.join(to);
            }
            return { contents, loader: 'ts' };
          });
        },
      },
    ],
  });
  return load(result.outputFiles[0]!.text);
}

/** Names of the checks that fail, at most `enough` of them. */
function failing(api: Api, enough = Infinity): string[] {
  const failed: string[] = [];
  // Whatever noticed most so far is asked first: only the order, not the answer, hangs on it.
  const order = [...BEHAVIOURS].sort((a, b) => (noticed.get(b.name) ?? 0) - (noticed.get(a.name) ?? 0));
  for (const behaviour of order) {
    try {
      behaviour.check(api);
    } catch {
      failed.push(behaviour.name);
      noticed.set(behaviour.name, (noticed.get(behaviour.name) ?? 0) + 1);
      if (failed.length >= enough) break;
    }
  }
  return failed;
}
const noticed = new Map<string, number>();

const TURNS: readonly (readonly [what: string, file: string, from: string, to: string])[] = [
  ['CO2 drives breathing', 'core/breathing.ts', 'p.co2Slope * (pco2 - p.co2Set)', 'p.co2Slope * (p.co2Set - pco2)'],
  [
    'lack of oxygen drives breathing',
    'core/breathing.ts',
    '2 * unit((threshold - sa) / 0.3)',
    '-2 * unit((threshold - sa) / 0.3)',
  ],
  ['fatigue weakens', 'core/breathing.ts', '(1 - 0.8 * f)', '(1 + 0.8 * f)'],
  ['an illness stiffens', 'core/breathing.ts', '0.35 * (ru - 1) + stiff', '0.35 * (ru - 1) - stiff'],
  ['opioid depresses', 'core/breathing.ts', 'const awake = 1 - opioid', 'const awake = 1 + opioid'],
  ['shunt darkens', 'core/oxygen.ts', 'low * cl + shunt * cv', 'low * cl + shunt * cc'],
  ['an illness shunts', 'core/oxygen.ts', 'drive(s, D_SHUNT) + s[M_SHUNT]!', 'drive(s, D_SHUNT) - s[M_SHUNT]!'],
  [
    'ventilation washes CO2 out',
    'core/oxygen.ts',
    'kf / lungStore + wash / lungStore',
    'kf / lungStore - 0.2 * wash / lungStore',
  ],
  ['bronchodilators open', 'diseases/mediators.ts', '(1 - 0.6 * salbutamol)', '(1 + 0.6 * salbutamol)'],
  ['magnesium opens', 'diseases/mediators.ts', '(1 - (0.3 * magnesium)', '(1 + (0.3 * magnesium)'],
  ['nebulised adrenaline shrinks', 'diseases/mediators.ts', '(1 - (0.6 * local)', '(1 + (0.6 * local)'],
  ['leaked plasma leaves the blood', 'core/circulation.ts', 'back - leak - 0.75', 'leak - back - 0.75'],
  ['pressure in the chest empties the heart', 'core/circulation.ts', '(1 - s[X.TAMPING]!)', '(1 + s[X.TAMPING]!)'],
  ['glucagon strengthens', 'core/circulation.ts', '0.3 * glucagon', '-0.3 * glucagon'],
  [
    'a needle lets air out',
    'diseases/illness.ts',
    'v += unit(h / 0.25) * (rest - v)',
    'v -= unit(h / 0.25) * (rest - v)',
  ],
  [
    'left is left',
    'core/procedures.ts',
    "if (name.includes('left')) return true;",
    "if (name.includes('right')) return true;",
  ],
  ['pressure at the mask dries the lungs', 'diseases/illness.ts', '>= 7 ? 0.6 :', '>= 7 ? 1.6 :'],
  [
    'rich oxygen unmatches',
    'diseases/illness.ts',
    'p.unmatching * most * s[X.UNMATCHED]!',
    '-p.unmatching * most * s[X.UNMATCHED]!',
  ],
  ['back blows loosen', 'core/procedures.ts', 's[X.LOOSENED]! + each', 's[X.LOOSENED]! - each'],
  ['suction clears', 'core/procedures.ts', '0.35 * s[X.SECRETIONS]!', '1.65 * s[X.SECRETIONS]!'],
  ['rousing ends a pause', 'diseases/illness.ts', '<= 0 || s[X.ROUSED_MIN]! > 0', '<= 0 && s[X.ROUSED_MIN]! <= 0'],
  ['fever heats', 'core/body.ts', '+ s[M_FEVER]!', '- s[M_FEVER]!'],
  [
    'CO2 itself moves the oxygen curve',
    'core/gas.ts',
    '0.06 * (LOG10_40 - CELL[0]! / LN10))',
    '0.06 * (CELL[0]! / LN10 - LOG10_40))',
  ],
  ['acid moves the oxygen curve', 'core/gas.ts', '0.4 * (GAS[G_PH]! - 7.4)', '0.4 * (7.4 - GAS[G_PH]!)'],
  ['a closed lung shunts', 'diseases/lungs.ts', 's[M_SHUNT] = s[M_SHUNT]! + sided', 's[M_SHUNT] = s[M_SHUNT]! - sided'],
  ['infected blood makes lactate', 'core/body.ts', '1 + 6.5 * Math.min', '1 - 6.5 * Math.min'],
  ['CO2 makes drowsy', 'core/body.ts', 'const carbon = 1 - unit(', 'const carbon = 1 + unit('],
  [
    'a retainer bears CO2 better',
    'core/body.ts',
    's[X.PA_CO2]! - p.co2Tolerance - 60',
    's[X.PA_CO2]! + p.co2Tolerance - 60',
  ],
  ['a second wave waits', 'diseases/mediators.ts', 't - p.returnsAfter :', 't + p.returnsAfter :'],
  [
    'a stubborn reaction takes up less from muscle',
    'drugs/step.ts',
    'p.muscleUptake * clamp',
    '(1 / p.muscleUptake) * clamp',
  ],
];

describe('turning one sign fails the checks', () => {
  it('an unchanged copy passes them all', async () => {
    expect(failing(await copy(null))).toEqual([]);
  });
  it.each(TURNS)('%s', async (_what, file, from, to) => {
    expect(failing(await copy(file, from, to), 1).length).toBe(1);
  });
});
