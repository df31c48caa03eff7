/** Whatever the file holds: our diagnostics, never an exception, and soon. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { LIMITS, formatDiagnostic, readFormulary, readPack, readScenario } from '../src/index.ts';
import { here, testLibrary, text } from './support.ts';

const library = testLibrary();
const read = (yaml: string) => {
  const result = readScenario(yaml, { file: 'x.yaml', library });
  return result.ok ? { errors: [], warnings: result.warnings } : result;
};
const codes = (yaml: string): string[] => read(yaml).errors.map((one) => one.code);
const full = text(here('fixtures/valid-full/input.yaml'));

/** No timed assertion decides; a minute-long hang would fail the suite by its timeout, and the figure is printed. */
const hostile: [string, string, string][] = [
  ['50 MB', `a: ${'x'.repeat(50_000_000)}`, 'file-too-large'],
  ['10,000 nested lists', '['.repeat(10_000), 'too-deep'],
  ['10,000 nested lists, closed', '['.repeat(10_000) + ']'.repeat(10_000), 'too-deep'],
  ['10,000 nested maps', '{a: '.repeat(10_000), 'too-deep'],
  ['10,000 compact lists', '- '.repeat(10_000) + 'x', 'too-deep'],
  ['10,000 compact keys', '? '.repeat(10_000) + 'x', 'too-deep'],
  ['900 levels of indentation', Array.from({ length: 900 }, (_, i) => `${' '.repeat(i)}a:`).join('\n'), 'too-deep'],
  [
    'billion laughs',
    [
      'a0: &a0 [x,x,x,x,x,x,x,x,x,x]',
      ...Array.from({ length: 9 }, (_, i) => `a${i + 1}: &a${i + 1} [${Array(9).fill(`*a${i}`).join(',')}]`),
    ].join('\n'),
    'too-many-nodes',
  ],
  ['a thousand aliases', `a: &a x\nb: [${Array(1000).fill('*a').join(',')}]`, 'too-many-aliases'],
  ['an anchor in itself', 'a: &a [*a]', 'alias-loop'],
  [
    '80,000 keys',
    Array.from({ length: 60_000 }, (_, i) => `k${i}: 1`)
      .join('\n')
      .slice(0, 500_000),
    'too-many-nodes',
  ],
  ['200,000 empty items', `a: [${','.repeat(200_000)}]`, 'too-many-nodes'],
  [
    'a prototype key',
    full.replace('level: intermediate', '__proto__: { polluted: true }\nlevel: intermediate'),
    'reserved-key',
  ],
  ['a constructor state', full.replace('  tiring:\n', '  constructor:\n'), 'reserved-key'],
  ['a prototype key by alias', 'a: &a __proto__\n*a : x', 'key-not-text'],
  ['a code tag', 'a: !!js/function "function () { return 1 }"', 'tag-not-allowed'],
  ['NUL bytes', 'a: b\u0000c', 'not-utf8'],
  ['lost bytes', 'a: b\ufffdc', 'not-utf8'],
  ['half a character', 'a: b\ud800c', 'not-utf8'],
  ['terminal control', 'a: "b\u001b[2J"', 'not-utf8'],
  ['nothing', '', 'empty-file'],
  ['only a comment', '# hello', 'empty-file'],
  ['only text', 'hello', 'wrong-type'],
  ['a list', '- a', 'wrong-type'],
  ['null', 'null', 'wrong-type'],
];

describe('hostile files', () => {
  test.each(hostile)('%s', (name, yaml, code) => {
    const started = performance.now();
    const found = codes(yaml);
    const tookMs = performance.now() - started;
    console.log(`${name}: ${tookMs.toFixed(0)} ms`);
    expect(found).toContain(code);
    expect(found.length).toBeLessThanOrEqual(102);
    expect(Object.hasOwn(Object.prototype, 'polluted')).toBe(false);
  });

  test('a byte order mark is only mentioned', () => {
    const result = read(`\ufeff${full}`);
    expect(result.errors).toEqual([]);
    expect(result.warnings.map((one) => one.code)).toEqual(['byte-order-mark']);
  });

  test('hundreds of problems are cut to a list one can read', () => {
    const many = full.replace(
      'equipment:',
      `${Array.from({ length: 400 }, (_, i) => `wrong${i}: 1`).join('\n')}\nequipment:`,
    );
    const { errors } = read(many);
    expect(errors.length).toBeLessThanOrEqual(101);
    expect(errors.at(-1)?.code).toBe('too-many-problems');
    expect(errors.at(-1)?.message).toMatch(/^300 more/);
  });

  test('escape sequences cannot reach the terminal', () => {
    const shown = read('a: "\\e[2J\\u202e"\n"k\\e[31m": 1').errors.map(formatDiagnostic).join('\n');
    // eslint-disable-next-line no-control-regex
    expect(shown).not.toMatch(/[\u001b\u202e]/);
  });
});

/** Every diagnostic must be fit to show. */
function lawful(yaml: string): void {
  const results = [
    readScenario(yaml, { file: 'x.yaml', library }),
    readPack(yaml, { file: 'x.yaml', interventions: library.interventions }),
    readFormulary(yaml, { file: 'x.yaml' }),
  ];
  const lines = yaml.split('\n').length;
  for (const result of results) {
    for (const one of [...(result.ok ? [] : result.errors), ...result.warnings]) {
      expect(one.line).toBeGreaterThanOrEqual(1);
      expect(one.line).toBeLessThanOrEqual(lines);
      expect(one.column).toBeGreaterThanOrEqual(1);
      // An unfilled place of ours is a word of three letters or more; `{a}` may be the file's own text, quoted.
      expect(one.message).not.toMatch(/\{[a-z]{3,}\}(?!`)|undefined|\[object/);
      expect(formatDiagnostic(one).length).toBeLessThan(8000);
    }
    if (!result.ok) expect(result.errors.length).toBeGreaterThan(0);
  }
}

describe('random files', () => {
  test('any text', () => {
    fc.assert(fc.property(fc.string({ maxLength: 300 }), lawful), { numRuns: 150 });
    fc.assert(fc.property(fc.string({ maxLength: 200, unit: 'binary' }), lawful), { numRuns: 150 });
  });

  test('YAML-like noise', () => {
    const bit = fc.constantFrom(
      'a',
      ': ',
      '- ',
      '\n',
      '  ',
      '{',
      '}',
      '[',
      ']',
      ',',
      '&a ',
      '*a',
      '!!x ',
      '"',
      "'",
      '|',
      '>',
      '#',
      '%',
      '?',
      '~',
      '0:50',
      '23 kg',
      'states:',
      'threads:',
      '__proto__',
      '---',
      '\t',
    );
    fc.assert(
      fc.property(
        fc.array(bit, { maxLength: 60 }).map((bits) => bits.join('')),
        lawful,
      ),
      { numRuns: 500 },
    );
  });

  test('the full example with characters cut out, doubled or replaced', () => {
    const cut = fc.tuple(
      fc.nat(full.length - 1),
      fc.nat(40),
      fc.constantFrom('', 'x', ': ', '{', ']', '"', '\n', '- ', '99999', '&a ', '*a'),
    );
    fc.assert(
      fc.property(cut, ([at, length, put]) => lawful(full.slice(0, at) + put + full.slice(at + length))),
      { numRuns: 200 },
    );
  });
});

test('the limits are those the documentation names', () => {
  expect(LIMITS).toEqual({ characters: 524_288, depth: 40, nodes: 30_000, aliases: 100 });
});
