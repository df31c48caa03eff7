/** Every dose line of the formulary: safe to read, with a source, its standing and a concentration where a volume follows. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { formatAmount, suggestDose } from '../src/index.ts';
import type { Source } from '../src/index.ts';
import { filesIn, shippedLibrary } from './support.ts';

const library = shippedLibrary();
const drugs = library.interventions.filter((one) => one.kind === 'drug' || one.kind === 'fluid');
const dosed = drugs.filter((one) => one.usual !== undefined);
const VERIFIED = ['primary', 'mirror', 'secondary', 'from-memory', 'teaching', 'arithmetic'];

/** What may not stand in a dose as people read it: a letter for micrograms, U, a bare point, a trailing zero, IU, QD. */
const UNSAFE: readonly (readonly [RegExp, string])[] = [
  [/\d\s*(?:µg|μg|mcg|ug)\b/i, 'micrograms in full'],
  [/(?:^|[^\d.])\.\d/, 'a zero before the point'],
  [/\d\.\d*0(?!\d)(?!\s*%)/, 'no zero at the end'],
  [/\d\s*(?:IU|U)\b/, 'units in full'],
  [/\b1\s*:\s*1\s?0{3,4}\b|\b1 in 1\s?0{3,4}\b/, 'a strength as mg/mL, not as a ratio'],
];

describe('the text people read', () => {
  test.each(filesIn('formulary').map((one) => [one.file, one.text] as const))(
    '%s holds no unsafe way to write a dose',
    (_file, text) => {
      for (const [line, at] of text.split('\n').map((one, i) => [one, i + 1] as const)) {
        if (/^\s*(doi|url|edition|document|section|checked-on|#)/.test(line) || line.trimStart().startsWith('#'))
          continue;
        for (const [pattern, rule] of UNSAFE)
          expect(pattern.test(line) ? `line ${at}: ${rule}: ${line.trim()}` : '').toBe('');
      }
    },
  );
  test('the rules above can fail', () => {
    for (const bad of ['5 mcg', 'dose .5 mg', '1.0 mg', '5 U', '1:1000']) {
      expect(
        UNSAFE.some(([pattern]) => pattern.test(bad)),
        bad,
      ).toBe(true);
    }
    for (const good of ['500 micrograms', '0.5 mg', '10 mg', '0.1 mg/mL', '10.5 mL']) {
      expect(
        UNSAFE.some(([pattern]) => pattern.test(good)),
        good,
      ).toBe(false);
    }
  });
});

describe('every dose line', () => {
  const sources = (one: (typeof dosed)[number]): Source[] => {
    const usual = one.usual as { source?: Source; bands?: readonly { source?: Source }[] };
    return [usual.source, ...(usual.bands ?? []).map((band) => band.source)].filter((each) => each !== undefined);
  };
  test.each(dosed.map((one) => [one.id, one] as const))('%s names a source, how it was seen and when', (_id, one) => {
    expect(sources(one).length).toBeGreaterThan(0);
    for (const source of sources(one)) {
      expect(source.organisation.length).toBeGreaterThan(2);
      expect(source.document.length).toBeGreaterThan(5);
      expect(VERIFIED).toContain(source.verified);
      expect(source.checkedOn).toMatch(/^\d{4}-\d{2}-\d{2}$/);
    }
  });
  test.each(dosed.map((one) => [one.id, one] as const))(
    '%s is written safely for every age, and no volume stands without its strength',
    (_id, one) => {
      for (const [ageYears, weightKg] of [
        [0.2, 5],
        [1, 10],
        [3, 14],
        [7, 23],
        [12, 40],
        [17, 60],
        [40, 75],
        [80, 60],
      ] as const) {
        const shown = suggestDose({ library, packId: '', intervention: one.id, ageYears, weightKg });
        if (shown === null) continue;
        for (const [pattern, rule] of UNSAFE) expect(pattern.test(shown.text) ? `${rule}: ${shown.text}` : '').toBe('');
        if (shown.volumeMl !== undefined && one.unit !== 'mL') expect(shown.concentration, shown.text).toBeDefined();
        expect(shown.amount).toBeGreaterThan(0);
        expect(shown.amount).toBeLessThanOrEqual(shown.amountHigh ?? Infinity);
        // What is offered is never above what is warned about.
        const most = shown.amountHigh ?? shown.amount;
        const ceiling = Math.min(one.warnAbove?.total ?? Infinity, (one.warnAbove?.perKg ?? Infinity) * weightKg);
        expect(most, `${one.id} at ${ageYears} years: ${formatAmount(most, one.unit!)}`).toBeLessThanOrEqual(
          ceiling * 1.0001,
        );
      }
    },
  );
  test('every drug without a dose line says why it may harm', () => {
    const bare = drugs.filter((one) => one.usual === undefined && one.hazard === undefined).map((one) => one.id);
    expect(bare.filter((id) => id !== 'morphine-iv')).toEqual([]);
  });
  test('an injector offers only sizes it comes in', () => {
    const injector = library.interventions.find((one) => one.deviceDoses !== undefined)!;
    for (const [weightKg, ageYears] of [
      [8, 0.7],
      [15, 3],
      [19, 5],
      [21, 6],
      [49, 13],
      [60, 30],
    ] as const) {
      const shown = suggestDose({ library, packId: '', intervention: injector.id, ageYears, weightKg })!;
      expect(injector.deviceDoses).toContain(shown.amount);
      if (shown.amountHigh !== undefined) expect(injector.deviceDoses).toContain(shown.amountHigh);
    }
  });
  test('the shipped file says at its head that it is for training', () => {
    for (const { file } of filesIn('formulary')) {
      const head = readFileSync(
        new URL(`../../../scenarios/formulary/${file.split('/').pop()!}`, import.meta.url),
        'utf8',
      ).slice(0, 600);
      expect(head).toMatch(/[Tt]raining only/);
    }
  });
});
